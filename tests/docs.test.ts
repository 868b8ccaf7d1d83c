import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { runProgram } from './support/server.ts';

const root = fileURLToPath(new URL('../', import.meta.url));
const readme = readFileSync(join(root, 'README.md'), 'utf8');
const developers = readFileSync(join(root, 'DEVELOPERS.md'), 'utf8');
const { scripts } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as {
  scripts: Record<string, string>;
};

/** Folders of `src`, and those of `core` that hold a part of their own. */
const folders = [
  ...['core', 'core/schedule', 'core/check', 'core/season', 'core/weather', 'core/sample'],
  ...readdirSync(join(root, 'src'), { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name),
];

describe('README', () => {
  test('its two commands and every other npm command in it exist', () => {
    expect(readme).toContain('npm ci && npm start');
    expect(readme).toContain('npm ci && npm test');
    for (const [, name = ''] of readme.matchAll(/npm run ([a-z:]+)/g))
      expect(Object.keys(scripts)).toContain(name);
  });

  test('its pictures and files exist', () => {
    const pictures = [...readme.matchAll(/!\[[^\]]+\]\(([^)]+)\)/g)].map(([, path = '']) => path);
    expect(pictures).toContain('docs/year.png');
    expect(pictures.filter((path) => !existsSync(join(root, path)))).toEqual([]);
  });

  test('the header of a file of units is the one that is read', () => {
    const fixture = readFileSync(join(root, 'tests/fixtures/land/units.csv'), 'utf8');
    expect(readme).toContain(`\`${fixture.split(/\r?\n/)[0]}\``);
  });

  test('it says what the program never does and what comes first', () => {
    expect(readme).toContain('never authorizes a burn, a spray or a cut');
    for (const words of ['Local law', 'the label', 'the signed burn plan', 'qualified person'])
      expect(readme).toContain(words);
  });
});

describe('DEVELOPERS', () => {
  test.each([...new Set(folders)])('names src/%s', (folder) => {
    // A folder of core may stand in the row of its parent by its own name alone.
    const ownName = folder.split('/').at(-1) ?? '';
    expect([`\`src/${folder}/`, `\`${ownName}/\``].some((one) => developers.includes(one))).toBe(
      true,
    );
    expect(existsSync(join(root, 'src', folder))).toBe(true);
  });

  test('names every verb that the program has', async () => {
    const usage = (await runProgram('--help')).out;
    const verbs = [...usage.matchAll(/^ {2}([a-z-]+) {2}/gm)].map(([, name]) => name);
    expect(verbs.length).toBeGreaterThan(8);
    expect(verbs.filter((verb) => !developers.includes(`| \`${verb}\` |`))).toEqual([]);
  });

  test('names every script of package.json that is typed by hand', () => {
    for (const name of ['build', 'cli', 'vitest']) {
      expect(developers).toContain(`npm run ${name}`);
      expect(Object.keys(scripts)).toContain(name);
    }
  });

  test.each(readdirSync(join(root, 'shared')).filter((name) => name.endsWith('.json')))(
    'names the table %s',
    (name) => {
      const words = name.replace('.json', '').replaceAll('-', ' ');
      const known = [words, words.replace('no work', 'no-work dates')];
      known.push(words.replace('fit day defaults', 'fit-day defaults'));
      known.push(words.replace('leaf out', 'leaf-out'));
      expect(known.some((one) => developers.includes(one))).toBe(true);
      expect(readFileSync(join(root, 'shared/README.md'), 'utf8')).toContain(name);
    },
  );

  test('names every folder of tests', () => {
    const own = ['browser', 'smoke', 'cli', 'open-data', 'bench'];
    for (const folder of own) {
      expect(developers).toContain(`\`${folder}/\``);
      expect(existsSync(join(root, 'tests', folder))).toBe(true);
    }
  });
});
