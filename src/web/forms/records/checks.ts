import { parseIsoDate, parseMonthDay } from '../../../core/dates.ts';
import type { Problem } from '../../../core/problems.ts';
import { parseSpans } from '../spans.ts';
import type { RecordField, RecordLand, Values } from './descriptor.ts';
import { listIn } from './values.ts';

/** Most characters of a line and of a text of lines. */
const textMost = 200;
const linesMost = 4000;

function numberFault(field: RecordField, text: string): string | null {
  const { least, most } = field;
  if (!/^-?(\d+\.?\d*|\.\d+)$/.test(text))
    return field.kind === 'whole'
      ? 'write a whole number, such as 12.'
      : 'write a number, such as 12 or 12.5.';
  const value = Number(text);
  if (field.kind === 'whole' && !Number.isInteger(value))
    return 'write a whole number, such as 12.';
  if (least !== undefined && value < least) return `write a number of ${least} or more.`;
  if (most !== undefined && value > most) return `write a number of ${most} or less.`;
  return null;
}

function dayFault(field: RecordField, text: string, land: RecordLand): string | null {
  if (!parseIsoDate(text)) return 'write a real day as year-month-day, such as 2027-03-04.';
  if (field.isPast && text > land.today)
    return 'write the day on which it was done, today or earlier.';
  return null;
}

function pickFault(
  field: RecordField,
  text: string,
  land: RecordLand,
  values: Values,
): string | null {
  const keys = new Set(field.options?.(land, values).map(({ key }) => key));
  if (field.kind === 'one-of') return keys.has(text) ? null : 'choose one of the list.';
  const unknown = listIn(values, field.key).filter((key) => !keys.has(key));
  if (unknown.length === 0) return null;
  return field.kind === 'units'
    ? `there is no unit ${unknown.join(', ')} here; write codes such as N4, with commas between.`
    : 'tick boxes of the list only.';
}

function kindFault(
  field: RecordField,
  text: string,
  land: RecordLand,
  values: Values,
): string | null {
  switch (field.kind) {
    case 'number':
    case 'whole':
      return numberFault(field, text);
    case 'day':
      return dayFault(field, text, land);
    case 'month-day':
      return parseMonthDay(text) ? null : 'write month and day, such as 04-12.';
    case 'one-of':
    case 'many-of':
    case 'units':
      return pickFault(field, text, land, values);
    case 'text':
      return text.length > textMost ? `write at most ${textMost} characters.` : null;
    case 'text-lines':
      return text.length > linesMost ? `write at most ${linesMost} characters.` : null;
    default:
      return null;
  }
}

function fieldProblem(field: RecordField, land: RecordLand, values: Values): Problem[] {
  const { key, label } = field;
  const text = (values[key] ?? '').trim();
  const name = field.within ? `${field.within}, ${label}` : label;
  const say = (fault: string): Problem[] => [
    { code: `field-${key}`, field: key, message: `${name}: ${fault}` },
  ];
  if (text === '') {
    if (!field.isRequired) return [];
    const isPick = field.kind === 'one-of' || field.kind === 'many-of' || field.kind === 'units';
    return say(isPick ? 'choose from the list.' : 'fill this in.');
  }
  if (field.kind === 'spans') return parseSpans(text, key, label).problems;
  const fault = kindFault(field, text, land, values) ?? field.fault?.(text, land, values) ?? null;
  return fault === null ? [] : say(fault);
}

/** The first thing wrong with each field of a form as typed, all of them in one pass; empty = it can be read. */
export function fieldProblems(
  fields: readonly RecordField[],
  values: Values,
  land: RecordLand,
): Problem[] {
  return fields.flatMap((field) => fieldProblem(field, land, values));
}
