import type { Block } from '../../core/blocks.ts';
import { unitsOf } from '../../core/chains.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import { readinessOf } from '../../core/readiness.ts';
import type { Mend, ReadinessItem } from '../../core/readiness-items.ts';
import { type BurnRotation, communityOf, defaultRotationOf } from '../../core/rotation.ts';
import type { Unit } from '../../core/units.ts';
import { blockForm, blockValues } from '../forms/block.ts';
import type { FormState } from '../forms/form.ts';
import { kindOfNoun } from '../forms/records/kinds.ts';
import * as words from '../words.ts';
import { rowPath } from './records.ts';
import { sourceWords } from './sequences.ts';

/** A readiness item with links to what mends it; `lead` comes before the names of several rows. */
export interface ReadinessLine extends ReadinessItem {
  lead: string;
  links: { path: string; words: string }[];
}

/** The block of a unit, what a burn of it needs, and the form for that. */
export interface BlockNeeds {
  name: string;
  /** The other units that are lit together with this one. */
  others: { id: number; code: string; name: string }[];
  /** What is set now, in a few words. */
  standing: string;
  readiness: ReadinessLine[];
  prescriptions: { key: string; name: string }[];
  prescriptionHint: string;
  interval: { words: string; source: string };
  labels: typeof blockForm.labels;
  form: FormState;
}

/** "at least 2 burning seasons, target 3 years, most 5 years". */
function rotationWords({ leastSeasons, targetYears, mostYears }: BurnRotation): string {
  return [
    `at least ${words.count(leastSeasons, 'burning season')}`,
    `target ${words.count(targetYears, 'year')}`,
    `most ${words.count(mostYears, 'year')}`,
  ].join(', ');
}

function intervalDefault(operation: Operation, block: Block): BlockNeeds['interval'] {
  const found = defaultRotationOf(operation, block);
  if (!found)
    return {
      words: 'Neither the sequence nor the natural community plans fire: blank = no fire planned.',
      source: '',
    };
  const { rotation, from } = found;
  return {
    words: `All three blank = the default of the ${'steps' in from ? 'sequence' : 'natural community'} "${from.name}": ${rotationWords(rotation)}.`,
    source: sourceWords(from),
  };
}

function prescriptionsOf(operation: Operation, block: Block): BlockNeeds['prescriptions'] {
  const offered = operation.prescriptions
    .filter((one) => one.use === 'work')
    .map(({ key, name }) => ({ key, name }));
  const own = block.prescriptionKey;
  // One that is no longer offered stays until another is chosen.
  const kept =
    own !== null && !offered.some((one) => one.key === own) ? [{ key: own, name: own }] : [];
  return [{ key: '', name: 'none: planned without a count of fit days' }, ...offered, ...kept];
}

function prescriptionHint(operation: Operation, block: Block): string {
  const community = communityOf(operation, block);
  const found = operation.prescriptions.find((one) => one.key === community?.prescriptionKey);
  const start =
    community && found
      ? `${community.name} starts with ${found.name.toLowerCase()} (${words.statusNames['default-to-edit']}). `
      : '';
  return `${start}It only counts fit days; the signed burn plan decides.`;
}

function standingWords(operation: Operation, block: Block): string {
  const { prescriptionKey: key, rotation } = block;
  const prescription = operation.prescriptions.find((one) => one.key === key)?.name ?? key;
  return [
    prescription?.toLowerCase() ?? 'no prescription',
    `at least ${words.count(block.burnPeopleLeast, 'person', 'people')}`,
    rotation ? `own interval, ${rotationWords(rotation)}` : 'default interval',
  ].join('; ');
}

/** Where a row is mended: most fields of the block stand on this page, all else in the form of the row. */
function mendPath({ noun, id, field }: Mend): string {
  if (noun === 'block' && field in blockForm.labels) return `#block-${field}`;
  const kind = kindOfNoun(noun);
  return kind ? rowPath(kind, id) : '#block';
}

function readinessLine(item: ReadinessItem): ReadinessLine {
  const links = item.mends.map((mend) => ({ path: mendPath(mend), words: mend.name }));
  const lead = item.key === 'lines' ? (item.missing.split(' (')[0] ?? '') : '';
  return { ...item, lead, links };
}

/** What a burn of a unit's block needs; `form` is shown again as typed. */
export function blockNeeds(
  operation: Operation,
  block: Block,
  unit: Unit,
  today: IsoDate,
  form: FormState | undefined,
): BlockNeeds {
  const others = unitsOf(operation, block).filter((one) => one.id !== unit.id);
  return {
    name: block.name,
    others: others.map(({ id, code, name }) => ({ id, code, name })),
    standing: standingWords(operation, block),
    readiness: readinessOf(operation, block, today).map(readinessLine),
    prescriptions: prescriptionsOf(operation, block),
    prescriptionHint: prescriptionHint(operation, block),
    interval: intervalDefault(operation, block),
    labels: blockForm.labels,
    form: form ?? { values: blockValues(block), problems: [] },
  };
}
