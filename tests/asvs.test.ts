import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';

const root = fileURLToPath(new URL('../', import.meta.url));
const developers = readFileSync(join(root, 'DEVELOPERS.md'), 'utf8');

/**
 * Items of level 2 by section, read from the list of OWASP ASVS 4.0.3 (OWASP/ASVS on GitHub, 4.0/docs_en, the CSV file):
 * items that were deleted, and those of level 3 alone, are not in it.
 */
const sections: Record<string, number[]> = {
  ...{ '1.1': [1, 2, 3, 4, 5, 6, 7], '1.2': [1, 2, 3, 4], '1.4': [1, 4, 5], '1.5': [1, 2, 3, 4] },
  ...{ '1.6': [1, 2, 3, 4], '1.7': [1, 2], '1.8': [1, 2], '1.9': [1, 2], '1.10': [1] },
  ...{ '1.11': [1, 2], '1.12': [2], '1.14': [1, 2, 3, 4, 5, 6] },
  ...{ '2.1': [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], '2.2': [1, 2, 3], '2.3': [1, 2, 3] },
  ...{ '2.4': [1, 2, 3, 4, 5, 6], '2.5': [1, 2, 3, 4, 5, 6, 7], '2.6': [1, 2, 3] },
  ...{ '2.7': [1, 2, 3, 4, 5, 6], '2.8': [1, 2, 3, 4, 5, 6, 7], '2.9': [1, 2, 3] },
  ...{ '2.10': [1, 2, 3, 4], '3.1': [1], '3.2': [1, 2, 3, 4], '3.3': [1, 2, 3, 4] },
  ...{ '3.4': [1, 2, 3, 4, 5], '3.5': [1, 2, 3], '3.7': [1], '4.1': [1, 2, 3, 5], '4.2': [1, 2] },
  ...{ '4.3': [1, 2, 3], '5.1': [1, 2, 3, 4, 5], '5.2': [1, 2, 3, 4, 5, 6, 7, 8] },
  ...{ '5.3': [1, 2, 3, 4, 5, 6, 7, 8, 9, 10], '5.4': [1, 2, 3], '5.5': [1, 2, 3, 4] },
  ...{ '6.1': [1, 2, 3], '6.2': [1, 2, 3, 4, 5, 6], '6.3': [1, 2], '6.4': [1, 2] },
  ...{ '7.1': [1, 2, 3, 4], '7.2': [1, 2], '7.3': [1, 3, 4], '7.4': [1, 2, 3] },
  ...{ '8.1': [1, 2, 3, 4], '8.2': [1, 2, 3], '8.3': [1, 2, 3, 4, 5, 6, 7, 8] },
  ...{ '9.1': [1, 2, 3], '9.2': [1, 2, 3, 4], '10.2': [1, 2], '10.3': [1, 2, 3] },
  ...{ '11.1': [1, 2, 3, 4, 5, 6, 7, 8], '12.1': [1, 2, 3], '12.2': [1] },
  ...{ '12.3': [1, 2, 3, 4, 5, 6], '12.4': [1, 2], '12.5': [1, 2], '12.6': [1] },
  ...{ '13.1': [1, 3, 4, 5], '13.2': [1, 2, 3, 5, 6], '13.3': [1, 2], '13.4': [1, 2] },
  ...{ '14.1': [1, 2, 3, 4], '14.2': [1, 2, 3, 4, 5, 6], '14.3': [2, 3] },
  ...{ '14.4': [1, 2, 3, 4, 5, 6, 7], '14.5': [1, 2, 3, 4] },
};

const rows = [...developers.matchAll(/^\| (\d+\.\d+\.\d+) \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$/gm)];

describe('the table of OWASP ASVS 4.0.3, level 2', () => {
  test('has each item once, in order', () => {
    const items = Object.entries(sections).flatMap(([section, numbers]) =>
      numbers.map((number) => `${section}.${number}`),
    );
    expect(rows.map(([, item]) => item)).toEqual(items);
  });

  test('says of each whether it is met, and where or why not', () => {
    const known = ['met', 'not met', 'not applicable'];
    expect(rows.filter(([, , , state = '']) => !known.includes(state))).toEqual([]);
    expect(rows.filter(([, , , , where = '']) => where.trim().length < 3)).toEqual([]);
  });

  test('names files that are there', () => {
    const paths = rows.flatMap(([, , , , where = '']) =>
      [...where.matchAll(/`((?:src|tests|docs|views|\.ci)\/[^`]*)`/g)].map(([, path = '']) => path),
    );
    expect(paths.length).toBeGreaterThan(60);
    expect(paths.filter((path) => !existsSync(join(root, path)))).toEqual([]);
  });
});
