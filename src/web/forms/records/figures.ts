import type { Outcome, Problem } from '../../../core/problems.ts';
import type { Source, Status } from '../../../core/sources.ts';
import { statusNames } from '../../words.ts';
import type { RecordField, RecordLand, Values } from './descriptor.ts';
import { listIn, optionsOf, textIn } from './values.ts';

/** Said of a figure for which nobody named a source. */
const enteredHere = 'Our own judgement, entered here.';
const changedHere = 'Our own judgement, changed here.';

/** Small letters, digits and hyphens: keys of rows, skills, tags and groups of species. */
const keyPattern = /^[a-z0-9]+(-[a-z0-9]+)*$/;

/** The key of a row of a reference table: typed for a new row, then fixed. */
export function keyField(example: string): RecordField {
  return {
    key: 'key',
    label: 'Key',
    kind: 'text',
    isRequired: true,
    isFixed: true,
    hint: `Other rows name it by this: small letters, digits and hyphens, such as ${example}.`,
    fault: (text) =>
      keyPattern.test(text)
        ? null
        : `use small letters and digits with hyphens between, such as ${example}.`,
  };
}

/** Keys in one line with commas between, in the order typed. */
export function keysField(key: string, label: string, hint: string): RecordField {
  return {
    key,
    label,
    kind: 'text',
    hint,
    fault: (_text, _land: RecordLand, values) =>
      listIn(values, key).every((one) => keyPattern.test(one))
        ? null
        : 'use small letters and digits with hyphens, and commas between.',
  };
}

/** Where figures come from; `name` begins the keys of the two fields, `of` says which figures. */
export function sourceFields(name: '' | 'rate' | 'window', of: string): RecordField[] {
  return [
    {
      key: `${name}Status`,
      label: `Standing of ${of}`,
      kind: 'one-of',
      isRequired: true,
      options: optionsOf(statusNames),
    },
    {
      key: `${name}Source`,
      label: `Source of ${of}`,
      kind: 'text-lines',
      hint: 'Document, year and place in it. Left as it is while figures change, it turns into our own judgement.',
    },
  ];
}

export function sourceValues(name: '' | 'rate' | 'window', { status, source }: Source): Values {
  return { [`${name}Status`]: status, [`${name}Source`]: source };
}

export const ownSourceValues = (name: '' | 'rate' | 'window'): Values => ({
  [`${name}Status`]: 'default-to-edit',
  [`${name}Source`]: '',
});

/**
 * The source as typed. Where one of the figures `keys` differs from `old` and the source was left alone, the figure is
 * no longer what the source says, so it becomes our own judgement.
 */
export function sourceIn(
  name: '' | 'rate' | 'window',
  values: Values,
  old: Values | null,
  keys: readonly string[],
): Source {
  const status = textIn(values, `${name}Status`) as Status;
  const source = textIn(values, `${name}Source`);
  const same = (key: string) => partsOf(values, key) === partsOf(old ?? {}, key);
  const isLeft = old !== null && same(`${name}Status`) && same(`${name}Source`);
  if (isLeft && !keys.every(same)) return { status: 'default-to-edit', source: changedHere };
  // A row that never said where it is from is not changed by being opened and saved.
  const isStillBlank = source === '' && isLeft;
  return { status, source: source === '' && !isStillBlank ? enteredHere : source };
}

/** Lists of ticked boxes come in the order of the form, so order does not count. */
function partsOf(values: Values, key: string): string {
  return listIn(values, key).sort().join(',');
}

/** Ticked keys; in the order they had before when they are the same ones. */
export function keptOrder(values: Values, key: string, before: readonly string[] = []): string[] {
  const ticked = listIn(values, key);
  const isSame = ticked.length === before.length && ticked.every((one) => before.includes(one));
  return isSame ? [...before] : ticked;
}

/** A refusal by one field. */
export function refusal(field: string, message: string): Outcome<never> {
  const problem: Problem = { code: `field-${field}`, field, message };
  return { ok: false, problems: [problem] };
}

/** What is wrong with three years that have to rise from least to most; null = nothing. */
export function risingFault(least: number, target: number, most: number): string | null {
  return least <= target && target <= most
    ? null
    : 'the least can not be above the target, nor the target above the most.';
}
