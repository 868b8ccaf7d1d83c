import fc from 'fast-check';
import { fuzzCase, runFuzz } from '../support/fuzz.ts';

/**
 * Hostile input to every form, import, page address and feed: prints what went wrong and ends with 1 when anything did.
 * Run: npx tsx tests/bench/fuzz.ts [CASES, default 10000] [SEED]
 */
const cases = Number(process.argv[2] ?? 10_000);
const seed = Number(process.argv[3] ?? 1);
let unhandled = 0;
process.on('unhandledRejection', (error) => {
  unhandled += 1;
  console.log('unhandled:', error);
});
const lines: string[] = [];
const write = process.stderr.write.bind(process.stderr);
process.stderr.write = (text: string | Uint8Array): boolean => {
  lines.push(...String(text).trimEnd().split('\n'));
  return true;
};
const startedAt = performance.now();
const findings = await runFuzz(fc.sample(fuzzCase, { numRuns: cases, seed }));
process.stderr.write = write;
for (const { sent, wrong } of findings) console.log(`${wrong}: ${sent}`);
const brokenLines = lines.filter((line) => !line.startsWith('{')).length;
const seconds = ((performance.now() - startedAt) / 1000).toFixed(0);
console.log(
  `${cases} cases, seed ${seed}, ${seconds} s: ${findings.length} findings, ${unhandled} unhandled rejections, ${brokenLines} broken log lines of ${lines.length}`,
);
process.exit(findings.length + unhandled + brokenLines > 0 ? 1 : 0);
