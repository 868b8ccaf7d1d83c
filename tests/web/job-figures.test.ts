import { describe, expect, it } from 'vitest';
import { loadLibrary } from '../../src/reference/library.ts';
import { buildApp } from '../../src/web/app.ts';
import { jobFigurePath } from '../../src/web/pages/job-figures.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage } from '../support/page.ts';

const section = async (key: string, query = '') => {
  const { status, root } = await getPage(buildApp(fakeDeps()), `/job-figures${query}`);
  expect(status).toBe(200);
  const found = root.querySelector(`section[aria-labelledby="${key}"]`);
  return found?.textContent.replace(/\s+/g, ' ').trim() ?? '';
};

describe('job figures', () => {
  // The starts are the published examples, so the page opens with what they print.
  it.each([
    ['machine', '3.82 acres an hour', 'Iowa State University'],
    ['seed', '63.75 % of the lot', 'Texas Department of Transportation'],
    ['width', '60 feet', 'Natural Resources Conservation Service Missouri'],
    ['line', '2 hours with 1 crew', 'Firefighter Math'],
    ['hack', '6 cuts', 'Penn State Extension'],
    ['effort', '68 person-hours', '26-acre oak woodland'],
    ['weather', 'about 20 %', 'rule of halves'],
  ])('%s', async (key, figure, source) => {
    const said = await section(key);
    expect(said).toContain(figure);
    expect(said).toContain(source);
    expect(said).toContain('published');
  });

  it('works with what is typed', async () => {
    expect(await section('line', '?lineFeet=900&crewRate=900&crews=2&crewPeople=3')).toContain(
      '0.5 hours with 2 crews',
    );
    expect(await section('width', '?fuelHeight=&flameLength=2.5')).toContain('6 feet');
    expect(await section('width', '?fuelHeight=')).toContain('fill in at least one');
  });

  it.each([
    ['machine', '?mph=fast', 'Speed, miles an hour: write a number'],
    ['machine', '?mph=-1', 'Speed, miles an hour: write 0.1 or more.'],
    ['seed', '?purity=101', 'Purity, percent: write 100 or less.'],
    ['seed', '?germination=0', 'Germination, percent: write 1 or more.'],
    ['hack', '?dbh=1e9', 'Diameter at breast height, inches: write a number'],
  ])('names the field and the fix: %s %s', async (key, query, expected) => {
    const said = await section(key, query);
    expect(said).toContain(expected);
    expect(said).not.toContain('NaN');
  });

  it('keeps what was typed and never runs it', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/job-figures?mph=%22%3E%3Cb%3E');
    expect(root.querySelector('#figure-mph')?.getAttribute('value')).toBe('"><b>');
    expect(root.querySelector('main b')).toBeNull();
  });

  it('defers where work can hurt', async () => {
    expect(await section('hack')).toContain('The label is the law');
    expect(await section('width')).toContain('The signed burn plan says the width');
  });

  it('is found from treatments of the library', () => {
    const linked = loadLibrary().treatments.filter(({ key }) => jobFigurePath(key) !== null);
    expect(linked.length).toBeGreaterThan(10);
    expect(jobFigurePath('cedar-felling')).toBeNull();
  });
});
