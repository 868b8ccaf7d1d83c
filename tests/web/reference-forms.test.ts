import { describe, expect, it } from 'vitest';
import type { LibraryNoun, RecordRows } from '../../src/core/records.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { fieldProblems } from '../../src/web/forms/records/checks.ts';
import { communities } from '../../src/web/forms/records/communities.ts';
import type { Descriptor, RecordLand, Values } from '../../src/web/forms/records/descriptor.ts';
import { lineKindRules } from '../../src/web/forms/records/line-kinds.ts';
import { noWork } from '../../src/web/forms/records/no-work.ts';
import { prescriptions } from '../../src/web/forms/records/prescriptions.ts';
import { movedSteps } from '../../src/web/forms/records/sequence-fields.ts';
import { sequences } from '../../src/web/forms/records/sequences.ts';
import { treatments } from '../../src/web/forms/records/treatments.ts';
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
  today: wholeOperation().entries[0]!.endedOn,
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
