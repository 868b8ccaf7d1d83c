import { readFileSync } from 'node:fs';

/** Version of the program, from package.json; kept with each plan. */
export const programVersion: string = JSON.parse(
  readFileSync(new URL('../../package.json', import.meta.url), 'utf8'),
).version;
