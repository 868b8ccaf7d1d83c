import type { Unit } from '../../../core/units.ts';
import type { Option, RecordField, RecordLand, Values } from './descriptor.ts';
import { listIn } from './values.ts';

/** Units that a row of a property may name; all where the form has no property, none before one is picked. */
function unitsOf({ operation }: RecordLand, values: Values): Unit[] {
  const { propertyId } = values;
  if (propertyId === undefined) return operation.units;
  return operation.units.filter((unit) => String(unit.propertyId) === propertyId);
}

/** Codes are unique in a property; where units of several are offered, a shared code has the property before it. */
function codeOf(unit: Unit, offered: readonly Unit[], { operation }: RecordLand): string {
  if (offered.filter(({ code }) => code === unit.code).length === 1) return unit.code;
  const property = operation.properties.find(({ id }) => id === unit.propertyId);
  return `${property?.name ?? ''}: ${unit.code}`;
}

function unitOptions(land: RecordLand, values: Values): Option[] {
  const offered = unitsOf(land, values);
  return offered.map((unit) => {
    const key = codeOf(unit, offered, land);
    return { key, name: `${key} ${unit.name}`.trim() };
  });
}

/** Units of a row, by code. */
export function unitsField(more: Partial<RecordField> = {}): RecordField {
  return { key: 'unitIds', label: 'Units', kind: 'units', options: unitOptions, ...more };
}

/** The codes for a form. Without `propertyId`, codes of all properties. */
export function unitCodes(
  unitIds: readonly number[],
  land: RecordLand,
  values: Values = {},
): string {
  const offered = unitsOf(land, values);
  return unitIds
    .flatMap((id) => offered.find((unit) => unit.id === id) ?? [])
    .map((unit) => codeOf(unit, offered, land))
    .join(', ');
}

/** Numbers of the units named in a form, in its order. */
export function unitIdsIn(values: Values, key: string, land: RecordLand): number[] {
  const offered = unitsOf(land, values);
  const byCode = new Map(offered.map((unit) => [codeOf(unit, offered, land), unit.id]));
  return listIn(values, key).flatMap((code) => byCode.get(code) ?? []);
}
