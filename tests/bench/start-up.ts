import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startServer } from '../support/server.ts';

// Run by hand after a build: npx tsx tests/bench/start-up.ts. Prints the time of a first run (sample land, planned)
// and of starts on the database that it left.
async function bench(): Promise<void> {
  const scratch = mkdtempSync(join(tmpdir(), 'seasonwright-'));
  for (const name of ['first run', 'start', 'start', 'start']) {
    const began = performance.now();
    const server = await startServer(join(scratch, 'start-up.db'));
    await (await fetch(server.url)).text();
    console.log(`${name}: ${Math.round(performance.now() - began)} ms to the first page`);
    await server.stop();
  }
  rmSync(scratch, { recursive: true });
}

await bench();
