import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';

const codes = async (query: string) => {
  const { root } = await getPage(buildApp(fakeDeps()), `/rotations${query}`);
  return root
    .querySelectorAll('section[aria-labelledby="blocks"] tbody th a')
    .map((one) => one.textContent.trim().split(' ')[0] ?? '');
};

describe('the list of rotations', () => {
  it.each([
    ['', ['E', 'N1', 'N2', 'N3', 'P1', 'S1', 'S2']],
    ['?property=2', ['P1']],
    ['?status=overdue', ['N1']],
    ['?status=held', ['S2']],
    ['?q=CREEK', ['P1']],
    ['?q=%3Cb%3E', []],
    ['?sort=nonsense&page=99', ['E', 'N1', 'N2', 'N3', 'P1', 'S1', 'S2']],
  ])('%s', async (query, expected) => expect(await codes(query)).toEqual(expected));

  it('puts the most pressing first when sorted by fire', async () =>
    expect((await codes('?sort=fire'))[0]).toBe('N1'));

  it('says the interval, where it comes from, what is held, the late share and thirds', async () => {
    const operation = fakeOperation();
    operation.sequences = operation.sequences.map((one) =>
      one.key === 'cedar-woodland' ? { ...one, partsCount: 3 } : one,
    );
    operation.blocks = operation.blocks.map((one) =>
      one.id === 1
        ? {
            ...one,
            rotation: {
              phase: 'maintenance',
              leastSeasons: 2,
              targetYears: 3,
              mostYears: 5,
              lateEvery: 3,
            },
          }
        : one,
    );
    const { root } = await getPage(buildApp(fakeDeps({ operation })), '/rotations');
    const row = (code: string) =>
      root
        .querySelectorAll('section[aria-labelledby="blocks"] tbody tr')
        .find((one) => one.querySelector('th a')?.textContent.startsWith(`${code} `))
        ?.textContent.replace(/\s+/g, ' ');
    expect(row('N1')).toContain('2 to 5 years, target 3');
    expect(row('N1')).toContain("the block's own");
    expect(row('N1')).toContain('every third burn');
    expect(row('N1')).toContain('thirds, one a year');
    expect(row('N2')).toContain('sequence ');
    expect(row('N2')).toContain('not asked');
    expect(row('S2')).toContain('no fire until July 2030: oak recruitment');
  });

  it('sets what is asked beside what was burned and what is planned', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/rotations');
    const section = root.querySelector('section[aria-label="Fernhill Ridge"]');
    const seasons = section?.querySelectorAll('table')[1]?.querySelectorAll('tbody tr') ?? [];
    expect(seasons.map((one) => one.querySelector('th')?.textContent).slice(0, 6)).toEqual([
      '2021-22',
      '2022-23',
      '2023-24',
      '2024-25',
      '2025-26',
      '2026-27',
    ]);
    expect(seasons[5]?.querySelectorAll('td')[1]?.textContent).not.toBe('0');
  });

  it('pages five hundred blocks', async () => {
    const operation = fakeOperation();
    const unit = operation.units[0]!;
    const block = operation.blocks[0]!;
    const ids = Array.from({ length: 500 }, (_, i) => i + 100);
    operation.blocks = ids.map((id) => ({ ...block, id, code: `X${id}` }));
    operation.units = ids.map((id) => ({ ...unit, id, blockId: id, code: `X${id}` }));
    const { root } = await getPage(
      buildApp(fakeDeps({ operation })),
      '/rotations?sort=acres&page=3',
    );
    const rows = root.querySelectorAll('section[aria-labelledby="blocks"] tbody tr');
    expect(rows).toHaveLength(100);
    expect(root.querySelector('a[href="/rotations?sort=acres&page=2"]')).not.toBeNull();
  });

  it('says what to do next without land', async () => {
    const operation = { ...fakeOperation(), units: [], blocks: [] };
    const { text } = await getPage(buildApp(fakeDeps({ operation })), '/rotations');
    expect(text).toContain('No blocks yet');
  });
});

describe('the late share in the form of a block', () => {
  it.each([
    [{ lateEvery: '3' }, 422, 'fill in the three figures'],
    [{ leastSeasons: '2', targetYears: '3', mostYears: '5', lateEvery: '0' }, 422, 'Late-season'],
    [{ leastSeasons: '2', targetYears: '3', mostYears: '5', lateEvery: '3' }, 303, ''],
  ])('%j: %s', async (change, status, said) => {
    const app = buildApp(fakeDeps());
    const page = await getPage(app, '/units/1');
    const fields = fieldsOf(page, '/units/1/block', change);
    const answer = await sendForm(app, '/units/1/block', fields);
    expect(answer.status).toBe(status);
    expect(answer.text).toContain(said);
  });
});
