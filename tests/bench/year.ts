import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { manyUnits } from '../support/many-units.ts';

// Run by hand: npx tsx tests/bench/year.ts. Prints the time of the Year page of 500 units and 24 months.
async function bench(): Promise<void> {
  const { operation, plan } = manyUnits(500);
  const app = buildApp(fakeDeps({ operation, inForce: plan }));
  for (let run = 1; run <= 5; run++) {
    const start = performance.now();
    const answer = await app.inject('/year?from=2026-10&months=24');
    const milliseconds = Math.round(performance.now() - start);
    console.log(
      `run ${run}: ${milliseconds} ms, ${answer.rawPayload.length} bytes, ${answer.statusCode}`,
    );
  }
  await app.close();
}

await bench();
