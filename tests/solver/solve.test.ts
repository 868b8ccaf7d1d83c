import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, afterEach, describe, expect, test, vi } from 'vitest';
import { solveVerb } from '../../src/cli/solve.ts';
import { checkProblemAnswer } from '../../src/core/check/problem-file.ts';
import type { ProblemAnswer } from '../../src/core/problem-file.ts';
import { readProblem } from '../core/schedule/problems.ts';

const folder = mkdtempSync(join(tmpdir(), 'solve-'));
afterAll(() => rmSync(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

const small = fileURLToPath(new URL('../fixtures/problems/small-2.json.gz', import.meta.url));

/** Runs the verb with both outputs caught. */
async function solve(...args: string[]) {
  let [out, err] = ['', ''];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    out += text;
    return true;
  });
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    err += text;
    return true;
  });
  const code = await solveVerb(args);
  vi.restoreAllMocks();
  return { code, out, err };
}

describe('solve', () => {
  test('writes an answer that the checker passes, the same twice for an iteration budget', async () => {
    const file = join(folder, 'answer.json');
    const first = await solve(small, '--seed', '4', '--iterations', '2000', '--json', file);
    expect(first).toEqual({ code: 0, out: '', err: '' });
    const written = JSON.parse(readFileSync(file, 'utf8')) as ProblemAnswer;
    expect(Object.keys(written)).toEqual(['cost', 'bound', 'starts', 'modes', 'seconds']);
    expect(checkProblemAnswer(readProblem('small-2'), written)).toEqual([]);
    const second = await solve(small, '--seed', '4', '--iterations', '2000', '--json', '-');
    expect({ ...JSON.parse(second.out), seconds: 0 }).toEqual({ ...written, seconds: 0 });
  });

  test('problems of the file: exit 1 and a sentence', async () => {
    const file = join(folder, 'bad.json');
    writeFileSync(file, '{"T": ');
    const bad = await solve(file, '--json', '-');
    expect(bad).toMatchObject({ code: 1, out: '' });
    expect(bad.err).toMatch(/not JSON/);
    const nowhere = await solve(join(folder, 'nowhere.json'), '--json', '-');
    expect(nowhere).toMatchObject({ code: 1, out: '' });
    expect(nowhere.err).toMatch(/cannot be read/);
  });

  test.each([
    [['--json', '-'], /one problem file/],
    [[small], /--json is needed/],
    [[small, '--json', '-', '--seconds', 'soon'], /--seconds takes/],
    [[small, '--json', '-', '--seconds', '1', '--iterations', '5'], /not both/],
    [[small, '--json', '-', '--fast'], /--fast/],
  ])('wrong usage %#: exit 2, what is wrong and the usage', async (args, sentence) => {
    const { code, err } = await solve(...args);
    expect(code).toBe(2);
    expect(err).toMatch(sentence);
    expect(err).toMatch(/Usage: solve/);
  });

  test('--help prints the usage', async () => {
    const { code, out, err } = await solve('--help');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toMatch(/Usage: solve FILE/);
  });
});
