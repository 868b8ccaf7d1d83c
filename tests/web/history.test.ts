import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage } from '../support/page.ts';
import { upload } from '../support/upload.ts';

const head = 'unit,date,work,share_black';
const field = (name: string, value: string) => ({ name, value });
const send = (
  deps: ReturnType<typeof fakeDeps>,
  text: string,
  ...parts: { name: string; value: string }[]
) =>
  upload(deps, '/history', [
    field('propertyId', '1'),
    { name: 'file', value: '', fileName: '' },
    field('text', text),
    ...parts,
  ]);
const headings = (root: Awaited<ReturnType<typeof send>>['root']) =>
  root.querySelectorAll('h2').map((one) => one.textContent.trim());

describe('old work from a table', () => {
  const text = `${head}\nN1,Mar 2009,rx,80\nN9,3/4/2010,cut,`;

  it('shows what each row means, asks beside it, and saves nothing', async () => {
    const deps = fakeDeps();
    const { status, root } = await send(deps, text);
    expect(status).toBe(200);
    expect(headings(root).slice(0, 2)).toEqual(['Unclear: 1 row', 'Clear: 1 row']);
    expect(root.textContent).toContain(
      'N1: planned fire (dormant-season burn), some day in March 2009, 80 % black',
    );
    expect(
      root.querySelectorAll('select[name^="choice-"]').map((one) => one.getAttribute('name')),
    ).toEqual(['choice-order', 'choice-unit:n9', 'choice-work:cut']);
    expect(root.querySelector('textarea')?.textContent).toBe(text);
    expect(deps.calls).toEqual([]);
  });

  it('does not take unclear rows over, and keeps the answers given', async () => {
    const deps = fakeDeps();
    const { status, root } = await send(
      deps,
      text,
      field('choice-order', 'day-first'),
      field('do', 'take'),
    );
    expect(status).toBe(422);
    expect(root.querySelector('[role="alert"]')?.textContent).toContain('1 row is unclear');
    expect(
      root.querySelector('select[name="choice-order"] option[selected]')?.getAttribute('value'),
    ).toBe('day-first');
    expect(deps.calls).toEqual([]);
  });

  it('takes all of it over once everything is answered', async () => {
    const deps = fakeDeps();
    const { status, root } = await send(
      deps,
      text,
      field('choice-order', 'day-first'),
      field('choice-unit:n9', '2'),
      field('choice-work:cut', 'cedar-felling'),
      field('do', 'take'),
    );
    expect(status).toBe(200);
    expect(root.querySelector('[role="status"]')?.textContent).toContain('2 entries taken in');
    expect(root.textContent).toContain('No row was left out');
    expect(deps.calls).toMatchObject([
      { name: 'files.takeHistory', args: [[{ unitId: 1 }, { unitId: 2, doneOn: '2010-04-03' }]] },
    ]);
  });

  it('asks once about rows inside no-work dates, and takes them over with the answer', async () => {
    const table = 'unit,date,work\nN1,2024-11-10,cedar-felling\nN2,2024-10-10,cedar-felling\n';
    const deps = fakeDeps();
    const take = field('do', 'take');
    const { status, root } = await send(deps, table, take);
    expect(status).toBe(422);
    expect(root.querySelector('[role="alert"]')?.textContent).toContain(
      '1 row lies inside no-work dates: Firearms deer season',
    );
    expect(root.querySelector('#history-noWorkReason')).not.toBeNull();
    expect(deps.calls).toEqual([]);
    await send(deps, table, field('noWorkReason', 'the owner asked for it'), take);
    expect(deps.calls).toMatchObject([
      {
        name: 'files.takeHistory',
        args: [[{ unitId: 1 }, { unitId: 2 }], 'the owner asked for it'],
      },
    ]);
  });

  it('takes only the clear rows over when told so, and lists the others with the reason', async () => {
    const deps = fakeDeps();
    const { root } = await send(deps, text, field('do', 'take-clear'));
    expect(deps.calls).toMatchObject([{ args: [[{ unitId: 1 }]] }]);
    expect(root.querySelector('table')?.textContent).toContain('No unit has the code "N9"');
  });

  it('forgets answers to single rows when the table is another', async () => {
    const twins = `${head}\nN1,Mar 2009,rx,80\nN1,2009-03-04,rx,80`;
    const answer = field('choice-twice:3.1', 'take');
    const { root } = await send(fakeDeps(), twins);
    const of = field('of', root.querySelector('input[name="of"]')?.getAttribute('value') ?? '');
    const same = await send(fakeDeps(), twins.replaceAll('\n', '\r\n'), answer, of);
    expect(headings(same.root)[0]).toBe('Unclear: 0 rows');
    const other = await send(fakeDeps(), twins.replaceAll('2009', '2008'), answer, of);
    expect(headings(other.root)[0]).toBe('Unclear: 1 row');
  });

  it('says what is wrong with the table and keeps it', async () => {
    const { status, root } = await send(fakeDeps(), 'boss,date\nx,2019');
    expect(status).toBe(422);
    expect(root.querySelector('[role="alert"] a')?.getAttribute('href')).toBe('#history-text');
    expect(root.querySelector('textarea')?.textContent).toBe('boss,date\nx,2019');
  });

  it('says what has to be there first', async () => {
    const deps = fakeDeps();
    deps.state.operation.units = [];
    const { root } = await getPage(buildApp(deps), '/history');
    expect(root.querySelector('.note a')?.getAttribute('href')).toBe('/land/import');
  });
});
