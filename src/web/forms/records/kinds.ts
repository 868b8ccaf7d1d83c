import { createHash } from 'node:crypto';
import type { Problem } from '../../../core/problems.ts';
import type { LibraryNoun, Noun, RecordRows, RowId } from '../../../core/records.ts';
import type { Source } from '../../../core/sources.ts';
import type { Deps } from '../../deps.ts';
import { approvals } from './approvals.ts';
import { blocks } from './blocks.ts';
import { bookings } from './bookings.ts';
import { fieldProblems } from './checks.ts';
import { communities } from './communities.ts';
import { consents } from './consents.ts';
import { contracts } from './contracts.ts';
import { crews } from './crews.ts';
import type { Descriptor, RecordField, RecordGroup, RecordLand, Values } from './descriptor.ts';
import { gear } from './gear.ts';
import { grazing } from './grazing.ts';
import { holidays } from './holidays.ts';
import { landowners } from './landowners.ts';
import { leases } from './leases.ts';
import { lineKindRules } from './line-kinds.ts';
import { lines } from './lines.ts';
import { noWork } from './no-work.ts';
import { people } from './people.ts';
import { photoPoints } from './photo-points.ts';
import { points } from './points.ts';
import { prescriptions } from './prescriptions.ts';
import { properties } from './properties.ts';
import { sequences } from './sequences.ts';
import { stations } from './stations.ts';
import { treatments } from './treatments.ts';
import { units } from './units.ts';
import { visits } from './visits.ts';

/** A row as a list shows it. */
export interface ListedRow {
  id: RowId;
  name: string;
  propertyId: number | null;
  /** In the order of the columns; `number` sorts in place of the text. */
  cells: { text: string; number: number | null }[];
  /** The page that it is changed on where that is not the form of its noun. */
  path: string | null;
}

/** A row as a form shows it. */
export interface FormRow {
  id: RowId;
  name: string;
  values: Values;
  source: Source | null;
  links: { path: string; words: string }[];
}

export type SaveAnswer = ReturnType<Deps['records']['save']>;

/** A noun for the pages, whatever its rows are made of. */
export interface RecordKind {
  noun: Noun;
  path: string;
  one: string;
  many: string;
  purpose: string;
  group: RecordGroup;
  fields: RecordField[];
  /** The fields of a form that holds `values`. */
  fieldsOf(values: Values): RecordField[];
  /** The form after one of its buttons; null where it has none. */
  rearrange: Descriptor<Noun>['rearrange'] | null;
  alongside(published: Values, values: Values): Values;
  isFixedSet: boolean;
  columns: { key: string; label: string; isNumber: boolean }[];
  hasProperties: boolean;
  /** Set for reference tables: their rows can go back to what was published. */
  libraryNoun: LibraryNoun | null;
  partial: string | null;
  retireNote: string;
  count(land: RecordLand): number;
  list(land: RecordLand): ListedRow[];
  find(land: RecordLand, id: string): FormRow | null;
  blank(land: RecordLand): Values;
  /** How its form would show a row, of the past too. */
  shown(row: object, land: RecordLand): { name: string; values: Values };
  /** The row of a reference table as published; null for a row of one's own, and for nouns of the land. */
  published(deps: Deps, land: RecordLand, id: string): Values | null;
  save(
    deps: Deps,
    land: RecordLand,
    values: Values,
    id: string | null,
    isSure: boolean,
  ): SaveAnswer;
}

const libraryNouns: Record<LibraryNoun, true> = {
  community: true,
  treatment: true,
  sequence: true,
  noWork: true,
  prescription: true,
  lineKind: true,
};

const isLibrary = (noun: Noun): noun is LibraryNoun => noun in libraryNouns;

const refused = (problems: Problem[]): SaveAnswer => ({ kind: 'refused', problems });

/** Storage names fields of rows; what no field of the form is called stands on top only. */
function besideFields(fields: readonly RecordField[], problems: readonly Problem[]): Problem[] {
  return problems.map(({ field, ...problem }) =>
    field !== undefined && fields.some(({ key }) => key === field)
      ? { ...problem, field }
      : problem,
  );
}

/** The noun of a descriptor for the pages. */
export function kindOf<N extends Noun>(descriptor: Descriptor<N>): RecordKind {
  const { noun, fields, columns } = descriptor;
  const rowAt = (land: RecordLand, id: string) =>
    descriptor
      .rows(land)
      .find((row) => String(descriptor.idOf(row)) === id && !descriptor.pathOf?.(row)) ?? null;
  const fieldsOf = descriptor.fieldsOf ?? (() => fields);
  return {
    noun,
    path: descriptor.path,
    one: descriptor.one,
    many: descriptor.many,
    purpose: descriptor.purpose,
    group: descriptor.group,
    fields,
    fieldsOf,
    rearrange: descriptor.rearrange ?? null,
    alongside: descriptor.alongside ?? ((published) => published),
    isFixedSet: descriptor.isFixedSet ?? false,
    columns: columns.map(({ key, label, number }) => ({
      key,
      label,
      isNumber: number !== undefined,
    })),
    hasProperties: descriptor.propertyIdOf !== undefined,
    libraryNoun: isLibrary(noun) ? noun : null,
    partial: descriptor.partial ?? null,
    retireNote: descriptor.retireNote ?? '',
    count: (land) => descriptor.rows(land).length,
    list: (land) =>
      descriptor.rows(land).map((row) => ({
        id: descriptor.idOf(row),
        name: descriptor.nameOf(row, land),
        propertyId: descriptor.propertyIdOf?.(row) ?? null,
        cells: columns.map(({ text, number }) => ({
          text: text(row, land),
          number: number?.(row) ?? null,
        })),
        path: descriptor.pathOf?.(row) ?? null,
      })),
    find: (land, id) => {
      const row = rowAt(land, id);
      return (
        row && {
          id: descriptor.idOf(row),
          name: descriptor.nameOf(row, land),
          values: descriptor.valuesOf(row, land),
          source: descriptor.sourceOf?.(row) ?? null,
          links: descriptor.links?.(row) ?? [],
        }
      );
    },
    blank: descriptor.blank,
    shown: (row, land) => ({
      name: descriptor.nameOf(row as RecordRows[N], land),
      values: descriptor.valuesOf(row as RecordRows[N], land),
    }),
    published: (deps, land, id) => {
      const row = isLibrary(noun) ? deps.records.published(noun, id) : null;
      return row && descriptor.valuesOf(row as RecordRows[N], land);
    },
    save: (deps, land, values, id, isSure) => {
      const before = id === null ? null : rowAt(land, id);
      const asked = fieldsOf(values);
      const problems = fieldProblems(asked, values, land);
      if (problems.length > 0) return refused(problems);
      const row = descriptor.rowOf(values, land, before);
      if (!row.ok) return refused(row.problems);
      const answer = deps.records.save(noun, row.value, before === null, isSure);
      return answer.kind === 'refused' ? refused(besideFields(asked, answer.problems)) : answer;
    },
  };
}

/** All nouns that have pages, in the order of the index. A new noun is one line here. */
export const recordKinds: RecordKind[] = [
  kindOf(landowners),
  kindOf(properties),
  kindOf(units),
  kindOf(blocks),
  kindOf(lines),
  kindOf(points),
  kindOf(stations),
  kindOf(leases),
  kindOf(grazing),
  kindOf(consents),
  kindOf(contracts),
  kindOf(approvals),
  kindOf(crews),
  kindOf(people),
  kindOf(bookings),
  kindOf(gear),
  kindOf(holidays),
  kindOf(visits),
  kindOf(photoPoints),
  kindOf(sequences),
  kindOf(treatments),
  kindOf(noWork),
  kindOf(prescriptions),
  kindOf(communities),
  kindOf(lineKindRules),
];

/** The noun at an address, or null. */
export function kindAt(path: string): RecordKind | null {
  return recordKinds.find((kind) => kind.path === path) ?? null;
}

/** The noun of a row out of use; null where it has no pages. */
export function kindOfNoun(noun: Noun): RecordKind | null {
  return recordKinds.find((kind) => kind.noun === noun) ?? null;
}

/** What a row of a noun without pages of its own is called. */
const plainNouns: Partial<Record<Noun, string>> = {
  mapLayer: 'map layer',
  planElement: 'element of a burn plan',
  tileService: 'server of map pictures',
  ownRate: 'own rate',
  ownerLetter: 'letter to a landowner',
};

/** What a row of a noun is, for lists of rows of all nouns. */
export function nounWords(noun: Noun): string {
  return kindOfNoun(noun)?.one ?? plainNouns[noun] ?? noun;
}

/** Short mark of the values that a form was made from; another one at save means that somebody else saved first. */
export function markOf(values: Values): string {
  const sorted = Object.entries(values).sort(([a], [b]) => (a < b ? -1 : 1));
  return createHash('sha256').update(JSON.stringify(sorted)).digest('hex').slice(0, 16);
}
