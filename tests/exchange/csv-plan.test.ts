import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { planTable } from '../../src/exchange/csv-plan.ts';
import { fakeOperation } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';

const read = (text: string) => parse(text, { columns: true }) as Record<string, string>[];

describe('the plan as a table', () => {
  it('holds every planned task in order of days, then what was left out and why', () => {
    const { content } = fakePlan();
    const rows = read(planTable(fakeOperation(), content));
    expect(rows).toHaveLength(content.tasks.length + content.leftOut.length);
    const days = rows.map((row) => row['first_day'] ?? '').filter((day) => day !== '');
    expect(days).toEqual([...days].sort());
    expect(rows.find((row) => row['task'] === 'Fell cedar')).toMatchObject({
      property: 'Fernhill Ridge',
      units: 'S2',
      family: 'cut',
      first_day: '2026-11-30',
      last_day: '2026-12-18',
      when_fit: 'no',
      acres: '44',
      crew_days: '14',
      crews: 'Saw contract',
    });
    expect(rows.at(-1)).toMatchObject({
      first_day: '',
      left_out_because: 'No fit days are left in its burn season.',
    });
  });

  it('is only a head without a plan, with line ends of RFC 4180', () => {
    const text = planTable(fakeOperation(), null);
    expect(text.split('\r\n')).toHaveLength(2);
    expect(text).toMatch(/^property,block,units,task,/);
  });

  it.each([
    ['a, "b"\nc', 'a, "b"\nc'],
    // A program for tables would run these.
    ['=HYPERLINK("http://x")', '\'=HYPERLINK("http://x")'],
    ['@sum', "'@sum"],
    ['-1+1', "'-1+1"],
  ])('name %j', (name, shown) => {
    const { content } = fakePlan();
    const [task] = content.tasks;
    const text = planTable(fakeOperation(), {
      ...content,
      tasks: task ? [{ ...task, name }] : [],
      leftOut: [],
    });
    expect(read(text)[0]?.['task']).toBe(shown);
  });
});
