import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';

/** A folder that is removed when the tests of the file are over. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'seasonwright-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true, maxRetries: 5 }));
  return folder;
}
