import { describe, expect, it } from 'vitest';
import { readHistoryTable } from '../../src/exchange/csv-history.ts';

const read = (text: string) => {
  const table = readHistoryTable(text);
  if (!table.ok) throw new Error(table.problems[0]?.message);
  return table.value;
};
const short = (text: string) =>
  read(text).rows.map(({ unit, date, work, line, part }) => [unit, date, work, line, part]);

describe('a table of old work', () => {
  it.each([
    ['commas', 'unit,date,work\nN4,2019,burn\n'],
    ['tabs, as pasted from a spreadsheet', 'unit\tdate\twork\nN4\t2019\tburn\n'],
    ['semicolons', 'unit;date;work\r\nN4;2019;burn\r\n'],
    ['other heads in another order', 'When,TREATMENT,Unit_Code\n2019,burn,N4\n'],
    ['a byte order mark', '\uFEFFunit,date,work\nN4,2019,burn'],
    ['blank lines', 'unit,date,work\n\n,,\nN4,2019,burn\n'],
    ['year, month and day apart', 'unit,year,work\nN4,2019,burn'],
  ])('%s', (_, text) => {
    expect(short(text).map((row) => row.slice(0, 3))).toEqual([['N4', '2019', 'burn']]);
  });

  it.each([
    ['2019,3,14', '2019-3-14'],
    ['2019,3,', '2019-3'],
    ['2019,,', '2019'],
    ['2019,March,14', '14 March 2019'],
    ['2019,Mar,', 'Mar 2019'],
  ])('year, month, day %s is %s', (cells, date) => {
    expect(short(`unit,year,month,day\nN4,${cells}`)[0]?.[1]).toBe(date);
  });

  it('takes several dates of a cell apart, and keeps the line', () => {
    expect(short('unit,date\nN4,"2015; Mar 2018;2021"\nN5,2020')).toEqual([
      ['N4', '2015', '', 2, 1],
      ['N4', 'Mar 2018', '', 2, 2],
      ['N4', '2021', '', 2, 3],
      ['N5', '2020', '', 3, 1],
    ]);
  });

  it('keeps rows without a date or a unit, to be asked about', () => {
    expect(short('unit,date,work\nN4,,burn\n,2019,burn')).toEqual([
      ['N4', '', 'burn', 2, 1],
      ['', '2019', 'burn', 3, 1],
    ]);
  });

  it('names the columns that it does not read', () => {
    expect(read('unit,date,boss\nN4,2019,x').notes).toEqual([
      { code: 'columns-not-read', message: 'These columns are not read: boss.' },
    ]);
  });

  it.each([
    ['', 'file-empty'],
    ['unit,date', 'no-rows'],
    ['date,work\n2019,burn', 'missing-column'],
    ['unit,work\nN4,burn', 'missing-column'],
    ['unit,code,date\nN4,N4,2019', 'duplicate-column'],
    ['unit,date\nN4,March 14, 2019', 'wrong-column-count'],
    ['unit,date\nN4,"2019', 'csv-not-readable'],
    ['unit,date\nN4,20\uFFFD9', 'file-not-text'],
  ])('refuses %j as %s', (text, code) => {
    expect(readHistoryTable(text)).toMatchObject({ ok: false, problems: [{ code }] });
  });
});

it('a cell of any number of dates is held to the same limit as rows', () => {
  const dates = Array.from({ length: 5001 }, (_, at) => String(1000 + (at % 9000))).join(';');
  const read = readHistoryTable(`unit,date\nN1,"${dates}"\n`);
  expect(read.ok ? [] : read.problems).toMatchObject([{ code: 'too-many-rows' }]);
});
