import type { IsoDate, MonthDay } from '../../../core/dates.ts';
import { type Family, families } from '../../../core/treatments.ts';
import { familyNames, weekdayNames } from '../../words.ts';
import type { Option, RecordColumn, RecordField, RecordLand, Values } from './descriptor.ts';

/** Readers of text that was checked before: blank is null or empty, the rest is sound. */
export const textIn = (values: Values, key: string): string => (values[key] ?? '').trim();
export const textOrNull = (values: Values, key: string): string | null =>
  textIn(values, key) || null;
export const numberIn = (values: Values, key: string): number => Number(textIn(values, key));
export const numberOrNull = (values: Values, key: string): number | null =>
  textIn(values, key) === '' ? null : numberIn(values, key);
export const dayIn = (values: Values, key: string): IsoDate => textIn(values, key) as IsoDate;
export const dayOrNull = (values: Values, key: string): IsoDate | null =>
  (textIn(values, key) || null) as IsoDate | null;
export const monthDayIn = (values: Values, key: string): MonthDay =>
  textIn(values, key) as MonthDay;
export const monthDayOrNull = (values: Values, key: string): MonthDay | null =>
  (textIn(values, key) || null) as MonthDay | null;
export const isYes = (values: Values, key: string): boolean => values[key] === 'yes';

/** Parts of a list with commas or line ends between, each once. */
export function listIn(values: Values, key: string): string[] {
  const parts = (values[key] ?? '').split(/[,\n]/).map((part) => part.trim());
  return [...new Set(parts.filter((part) => part !== ''))];
}

export const yesOrBlank = (isOn: boolean): string => (isOn ? 'yes' : '');
export const orBlank = (value: string | number | null): string =>
  value === null ? '' : String(value);

export function optionsOf(names: Record<string, string>): () => Option[] {
  const options = Object.entries(names).map(([key, name]) => ({ key, name }));
  return () => options;
}

export const familyOptions = (): Option[] =>
  families.map((key) => ({ key, name: familyNames[key] }));
export const familiesIn = (values: Values, key: string): Family[] =>
  listIn(values, key) as Family[];
export const familyWords = (list: readonly Family[]): string =>
  list.map((family) => familyNames[family].toLowerCase()).join(', ');

export const weekdayOptions = (): Option[] =>
  weekdayNames.map((name, at) => ({ key: String(at + 1), name }));
export const weekdaysIn = (values: Values, key: string): number[] =>
  listIn(values, key).map(Number).sort();

export const firmnessNames = {
  hard: 'barred',
  'ask-first': 'ask first, then allowed with an approval on file',
} as const;

export const nameIn = (
  rows: readonly { id: number; name: string }[],
  id: number | null | undefined,
): string => rows.find((row) => row.id === id)?.name ?? '';

export function propertyColumn<R extends { propertyId: number }>(): RecordColumn<R> {
  return {
    key: 'property',
    label: 'Property',
    text: (row, { operation }) => nameIn(operation.properties, row.propertyId),
  };
}

/** The property of a row: picked for a new one, then fixed. */
export const propertyField: RecordField = {
  key: 'propertyId',
  label: 'Property',
  kind: 'one-of',
  isRequired: true,
  isFixed: true,
  options: ({ operation }) =>
    operation.properties.map(({ id, name }) => ({ key: String(id), name })),
};

/** The only property, or blank where one has to be picked. */
export function onlyPropertyId({ operation }: RecordLand): string {
  const [first, second] = operation.properties;
  return first && !second ? String(first.id) : '';
}

/** Days of each year between which a row bars work. */
export const yearlySpanFields: RecordField[] = [
  {
    key: 'opens',
    label: 'First day in each year',
    kind: 'month-day',
    hint: 'Month and day, such as 04-01. Blank = all year.',
  },
  { key: 'closes', label: 'Last day in each year', kind: 'month-day', hint: 'Such as 06-30.' },
];
