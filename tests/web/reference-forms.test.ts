import { describe, expect, it } from 'vitest';
import type { LibraryNoun, RecordRows } from '../../src/core/records.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { fieldProblems } from '../../src/web/forms/records/checks.ts';
import { communities } from '../../src/web/forms/records/communities.ts';
import type { Descriptor, RecordLand, Values } from '../../src/web/forms/records/descriptor.ts';
import { lineKindRules } from '../../src/web/forms/records/line-kinds.ts';
import { noWork } from '../../src/web/forms/records/no-work.ts';
import { prescriptions } from '../../src/web/forms/records/prescriptions.ts';
import { movedSteps, stepsAlongside } from '../../src/web/forms/records/sequence-fields.ts';
import { sequences } from '../../src/web/forms/records/sequences.ts';
import { treatments } from '../../src/web/forms/records/treatments.ts';
import { fakeToday } from '../support/operation.ts';
import { wholeOperation } from '../support/record-rows.ts';

const library = loadLibrary();
/** The published tables on the invented land. */
const land: RecordLand = {
  operation: {
    ...wholeOperation(),
    communities: library.communities,
    treatments: library.treatments,
    sequences: library.sequences,
    noWork: library.noWork,
    cautions: library.cautions,
    prescriptions: library.prescriptions,
    lineKinds: library.lineKinds,
  },
  stations: [],
  today: fakeToday,
};

function problemsOf<N extends LibraryNoun>(
  descriptor: Descriptor<N>,
  values: Values,
  before: RecordRows[N] | null,
): string[] {
  const fields = descriptor.fieldsOf?.(values) ?? descriptor.fields;
  const problems = fieldProblems(fields, values, land);
  if (problems.length > 0) return problems.map(({ message }) => message);
  const row = descriptor.rowOf(values, land, before);
  return row.ok ? [] : row.problems.map(({ message }) => message);
}

function sound<N extends LibraryNoun>(
  descriptor: Descriptor<N>,
  values: Values,
  before: RecordRows[N] | null,
): RecordRows[N] {
  expect(problemsOf(descriptor, values, before)).toEqual([]);
  const row = descriptor.rowOf(values, land, before);
  if (!row.ok) throw new Error(JSON.stringify(row.problems));
  return row.value;
}

/** Each published row through its form, as an old row and as a copy. */
function roundTrips<N extends LibraryNoun>(descriptor: Descriptor<N>): void {
  describe(`every published row of ${descriptor.many}`, () => {
    it.each(descriptor.rows(land).map((row) => [row.key, row] as const))('%s', (_key, row) => {
      const values = descriptor.valuesOf(row, land);
      expect(sound(descriptor, values, row)).toEqual(row);
      expect(sound(descriptor, values, null)).toEqual(row);
      const shown = new Set(
        (descriptor.fieldsOf?.(values) ?? descriptor.fields).map(({ key }) => key),
      );
      expect(Object.keys(values).filter((key) => !shown.has(key))).toEqual([]);
    });
  });
}
roundTrips(treatments);
roundTrips(prescriptions);
roundTrips(noWork);
roundTrips(communities);
roundTrips(sequences);
roundTrips(lineKindRules);

const rowAt = <N extends LibraryNoun>(descriptor: Descriptor<N>, key: string): RecordRows[N] =>
  descriptor.rows(land).find((row) => row.key === key)!;

describe('what a form refuses', () => {
  function refused<N extends LibraryNoun>(
    descriptor: Descriptor<N>,
    key: string,
    typed: Values,
  ): string[] {
    const row = rowAt(descriptor, key);
    return problemsOf(descriptor, { ...descriptor.valuesOf(row, land), ...typed }, row);
  }
  const density = { 'rate-scattered': '2', 'rate-moderate': '1' };

  it.each<[Values, string]>([
    [{ windows: '11-01 to 03-31\nspring to fall' }, 'Windows: line 2: the first day'],
    [{ rateAmount: '' }, 'Amount: fill in one figure, or one for each density.'],
    [{ rateAmount: '', ...density }, 'Amount, dense stems: fill this in as well.'],
    [density, 'Amount: give one figure or one for each density, not both.'],
    [{ rateAmount: '0' }, 'Amount: write a number of 0.001 or more.'],
    [{ skills: 'Saw & axe' }, 'Skills: use small letters'],
    [{ cautionKeys: 'nothing-such' }, 'Cautions shown with it: tick boxes'],
    [{ cautionKeys: '' }, 'Cautions shown with it: tick at least one for work with fire'],
    [{ peopleLeast: '0' }, 'People, least: write a number of 1 or more.'],
  ])('of a treatment: %j', (typed, words) => {
    expect(refused(treatments, 'dormant-burn', typed)).toEqual([expect.stringContaining(words)]);
  });

  it.each<[Values, string]>([
    [{ rhPercentLeast: '70', rhPercentMost: '60' }, 'Relative humidity: the least can not'],
    [{ gustMphLeast: '20', gustMphMost: '10' }, 'Gusts: the least can not be above the most.'],
    [{ toHour: '9' }, 'Hours: the last hour can not be before the first one.'],
    [{ nextGustMphMost: '20' }, 'The day after: fill in gusts and humidity'],
    [{ hoursInRow: '25' }, 'Fit hours in a row, least: write a number of 24 or less.'],
    [{ windHeight: 'knee' }, 'Height that the wind limits are meant at: choose one'],
  ])('of a prescription: %j', (typed, words) => {
    expect(refused(prescriptions, 'grass', typed)).toEqual([expect.stringContaining(words)]);
  });

  it.each<[Values, string]>([
    [{ opens: '02-31' }, 'First day in each year: write month and day such as 04-01'],
    [{ closes: 'leaf-out - 400' }, 'an anchor goes at most 180 days off'],
    [{ state: 'Missouri' }, 'State: write two capital letters'],
    [{ holdsFrom: '2027-01-01', holdsUntil: '2026-01-01' }, 'Holds until: the last day can not'],
    [{ contractFrom: '2027-01-01', contractTo: '2026-01-01' }, 'Only contracts signed until'],
    [{ unitIds: 'N1' }, 'Units: there is no unit N1 here'],
  ])('of no-work dates: %j', (typed, words) => {
    expect(refused(noWork, 'nest-mo', typed)).toEqual([expect.stringContaining(words)]);
  });

  it.each<[Values, string]>([
    [{ mostYears: '' }, 'Fire return interval: fill in all three years'],
    [{ targetYears: '9' }, 'Fire return interval: the least can not be above the target'],
    [{ prescriptionKey: 'nothing-such' }, 'Prescription of new units: choose one of the list.'],
  ])('of a natural community: %j', (typed, words) => {
    expect(refused(communities, 'oak-savanna', typed)).toEqual([expect.stringContaining(words)]);
  });

  it.each<[Values, string]>([
    [{ 's6-w1-least': 'soon' }, 'Burn, wait 1, Least: write such as 300 days'],
    [{ 's6-w1-least': '' }, 'Burn, wait 1, Least: fill this in; 0 days is the same day.'],
    [{ 's6-w1-after': '' }, 'Burn, wait 1: pick the step that it waits for'],
    [{ 's6-w1-after': 'gone' }, 'Burn, wait 1, After which step: choose one of the list.'],
    [{ 's6-w1-most': '', 's6-w1-hard': 'yes' }, 'Burn, wait 1, Most: fill this in, or clear'],
    [{ 's6-tiedTo': 'fell' }, 'Burn: a step on the day of another one has no waits'],
    [{ 's6-treatment2': 'dormant-burn' }, 'Burn: the same treatment stands there twice.'],
    [{ 's6-share': '0' }, 'Burn, Share of the acres, percent: write a number of 0.1 or more.'],
    [{ 's6-treatment1': '' }, 'Burn, Treatment: choose from the list.'],
    [{ rotationPhase: '' }, 'Interval of this sequence: pick the phase, or clear'],
    [{ leastSeasons: '' }, 'Interval of this sequence: fill in all three figures.'],
    [{ targetYears: '9' }, 'Interval of this sequence: the least can not be above'],
    [{ repeatKind: 'years', repeatYears: '0' }, 'Years between: write 1 or more'],
    [{ repeatStep: 'gone' }, 'Counted from the step: choose one of the list.'],
    [{ steps: '0', repeatStep: '' }, 'Steps: a sequence has 1 to 30 of them.'],
  ])('of a sequence: %j', (typed, words) => {
    expect(refused(sequences, 'cedar-woodland', typed)).toEqual(
      expect.arrayContaining([expect.stringContaining(words)]),
    );
  });
});

describe('the source of a figure', () => {
  const changed = { status: 'default-to-edit', source: 'Our own judgement, changed here.' };
  const before = rowAt(treatments, 'cedar-felling');
  const values = treatments.valuesOf(before, land);

  it('becomes our own judgement when only the figure changes, and the others stay', () => {
    const row = sound(treatments, { ...values, windows: '10-01 to 03-31' }, before);
    expect(row.windowSource).toEqual(changed);
    expect(row.rate).toEqual(before.rate);
    expect([row.status, row.source]).toEqual([before.status, before.source]);
  });

  it('is what was typed when it changes with the figure', () => {
    const own = { status: 'published', source: 'A handbook of the test, 2020, p. 4.' };
    const typed = { 'rate-dense': '0.3', rateStatus: own.status, rateSource: own.source };
    expect(sound(treatments, { ...values, ...typed }, before).rate).toMatchObject(own);
  });

  it('stays when a name changes, and when boxes come in another order', () => {
    const cautionKeys = [...before.cautionKeys].reverse().join(',');
    const row = sound(treatments, { ...values, name: 'Fell cedar', cautionKeys }, before);
    expect(row).toEqual({ ...before, name: 'Fell cedar' });
  });

  it('is said for a new row that names none', () => {
    const row = sound(treatments, { ...values, Source: '', rateSource: '' }, null);
    expect([row.source, row.rate.source]).toEqual(
      Array(2).fill('Our own judgement, entered here.'),
    );
  });
});

describe('the steps of a form', () => {
  const row = rowAt(sequences, 'cedar-woodland');
  const values = sequences.valuesOf(row, land);
  const names = (form: Values) =>
    Array.from({ length: Number(form['steps']) }, (_, at) => form[`s${at + 1}-name`]);
  const keys = row.steps.map(({ name }) => name);

  it('move up and down, and back again to what they were', () => {
    const up = movedSteps(values, 'up-6');
    expect(names(up.values).slice(3, 7)).toEqual([keys[3], keys[5], keys[4], keys[6]]);
    expect(up.open).toBe('s5');
    expect(movedSteps(up.values, 'down-5').values).toEqual(values);
    expect(
      sound(sequences, up.values, row)
        .steps.map(({ key }) => key)
        .sort(),
    ).toEqual(row.steps.map(({ key }) => key).sort());
  });

  it('come new at the end with a key of their own, and go without a trace', () => {
    const added = movedSteps({ ...values, name: 'typed' }, 'add');
    expect(added.values['name']).toBe('typed');
    expect(added.values['s14-key']).toBe('step-14');
    expect(added.open).toBe('s14');
    const again = movedSteps(movedSteps(added.values, 'remove-1').values, 'add');
    expect(again.values['s14-key']).toBe('step-15');
    expect(movedSteps(added.values, 'remove-14').values).toEqual({ ...values, name: 'typed' });
  });

  it('can not be moved out of the list, nor all of them removed', () => {
    for (const action of ['up-1', 'down-13', 'up-99', 'remove-99', 'paint-2', ''])
      expect(movedSteps(values, action), action).toEqual({ values, open: '' });
    const one = movedSteps({ steps: '0' }, 'add').values;
    expect(movedSteps(one, 'remove-1').values).toEqual(one);
  });

  it('have room for one more wait and one more mode than they hold', () => {
    const fields = sequences.fieldsOf!(values).map(({ key }) => key);
    expect(row.steps[5]!.lags).toHaveLength(5);
    expect(fields).toContain('s6-w6-after');
    expect(fields).not.toContain('s6-w7-after');
    expect(fields).toContain('s6-treatment3');
    expect(fields).not.toContain('s6-treatment4');
  });

  it('stand beside their published selves wherever they moved, new ones beside nothing', () => {
    const moved = movedSteps(movedSteps(values, 'up-6').values, 'add').values;
    const beside = stepsAlongside(values, moved);
    expect(beside['s5-name']).toBe('Burn');
    expect(beside['s6-name']).toBe(row.steps[4]!.name);
    expect(beside['s14-name']).toBeUndefined();
    const without = movedSteps(values, 'remove-6').values;
    expect(stepsAlongside(values, without)['s13-name']).toBe('Burn');
    const wait = { 's6-w1-after': 'cure-check', 's6-w2-after': 'fell' };
    const swapped = stepsAlongside(values, { ...values, ...wait });
    expect([swapped['s6-w1-most'], swapped['s6-w2-most']]).toEqual([
      '150 days',
      '3 growing seasons',
    ]);
  });
});
