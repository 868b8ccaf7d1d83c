import { parseIsoDate, parseMonthDay } from '../core/dates.ts';
import type { Position } from '../core/geometry.ts';
import {
  type FileLine,
  type FilePoint,
  type FileUnit,
  type LandFeature,
  type LandFile,
  type LandNoun,
  landFileFields,
  landNouns,
} from '../core/land-file.ts';
import { lineKinds } from '../core/lines.ts';
import { pointKinds } from '../core/points.ts';
import type { Problem } from '../core/problems.ts';
import { families } from '../core/treatments.ts';
import type { Unit } from '../core/units.ts';
import { boundaryOf, positionFault } from './geojson-units.ts';
import { measureBoundary, measurePathFeet } from './measure.ts';
import {
  acresNote,
  acresProblem,
  type ProblemList,
  problemList,
  type RawUnit,
  unitReader,
} from './unit-file.ts';

/** What a file of land is read against. */
export interface LandFileContext {
  communityKeys: readonly string[];
  /** Units of the property: a file need not repeat their name and natural community. */
  units: readonly Unit[];
  /** Natural community of new units that name none; null = they have to. */
  communityKey: string | null;
}

/** All or nothing: with a problem there is nothing to take over. `line` is the number of the feature. */
export interface LandFileReading {
  file: LandFile;
  problems: Problem[];
  problemCount: number;
  notes: Problem[];
}

/** A feature before it is understood: from GeoJSON or KML. */
export interface RawFeature {
  properties: Record<string, unknown>;
  geometry: unknown;
}

/** A file of land as GeoJSON (RFC 7946): one FeatureCollection. */
export function writeGeoJsonLand(features: readonly LandFeature[]): string {
  const rows = features.map(({ properties, geometry }) => ({
    type: 'Feature',
    properties,
    geometry,
  }));
  return `${JSON.stringify({ type: 'FeatureCollection', features: rows }, null, 1)}\n`;
}

const geometryNouns: Record<string, LandNoun> = {
  Polygon: 'unit',
  MultiPolygon: 'unit',
  LineString: 'line',
  MultiLineString: 'line',
  Point: 'point',
};

function geometryType(geometry: unknown): string {
  const type = (geometry as { type?: unknown } | null)?.type;
  return typeof type === 'string' ? type : '';
}

/** Reads the fields of one feature; each refusal names the feature, the field and the fix. */
function featureReader(raw: RawFeature, number: number, place: string, list: ProblemList) {
  const refuse = (field: string, code: string, what: string) =>
    list.add({ code, field, line: number, message: `${place}, ${field}: ${what}.` });
  const text = (field: string): string | null => {
    const value = raw.properties[field];
    if (value === null || value === undefined) return null;
    const plain = Array.isArray(value) ? value.join('; ') : String(value);
    if (plain.length <= 2000) return plain.trim() === '' ? null : plain.trim();
    refuse(field, 'impossible-value', 'it is over 2,000 letters long: shorten it');
    return null;
  };
  const listOf = (field: string) =>
    text(field)
      ?.split(';')
      .map((part) => part.trim())
      .filter((part) => part !== '') ?? null;
  return {
    refuse,
    text,
    listOf,
    feet(field: string): number | null {
      const written = text(field);
      if (written === null) return null;
      const value = Number(written);
      if (Number.isFinite(value) && value >= 0 && value < 10_000_000) return value;
      refuse(field, 'not-a-number', `"${written.slice(0, 40)}" is not a number of feet`);
      return null;
    },
    oneOf<T extends string>(field: string, options: readonly T[]): T | null {
      const written = text(field)?.toLowerCase() ?? null;
      if (written === null) return null;
      const found = options.find((option) => option === written);
      if (!found)
        refuse(
          field,
          'unknown-value',
          `"${written.slice(0, 40)}" is not one of ${options.join(', ')}`,
        );
      return found ?? null;
    },
    dated<T>(field: string, parse: (text: string) => T | null, example: string): T | null {
      const written = text(field);
      const value = written === null ? null : parse(written);
      if (written !== null && value === null)
        refuse(field, 'not-a-date', `"${written.slice(0, 40)}" is not a date such as ${example}`);
      return value;
    },
  };
}
type Reader = ReturnType<typeof featureReader>;

/** Altitudes are dropped (RFC 7946, section 3.1.1, lets a reader ignore them). */
function flat(position: readonly number[]): Position {
  return [position[0]!, position[1]!];
}

function pathOf(geometry: unknown, refuse: Reader['refuse']): Position[][] | null {
  if (geometry === null || geometry === undefined) return null;
  const { coordinates } = geometry as { coordinates?: unknown };
  const type = geometryType(geometry);
  const stretches = type === 'LineString' ? [coordinates] : coordinates;
  if (geometryNouns[type] !== 'line' || !Array.isArray(stretches)) {
    refuse('geometry', 'not-a-course', 'a line needs a LineString or MultiLineString');
    return null;
  }
  const isLong = stretches.every((one) => Array.isArray(one) && one.length >= 2);
  if (stretches.length === 0 || !isLong) {
    refuse('geometry', 'too-few-positions', 'each stretch of a line needs at least 2 positions');
    return null;
  }
  const fault = (stretches as unknown[][])
    .flat()
    .map(positionFault)
    .find((one) => one !== null);
  if (fault) {
    refuse('geometry', fault.code, fault.what);
    return null;
  }
  return (stretches as number[][][]).map((stretch) => stretch.map(flat));
}

function pointOf(geometry: unknown, refuse: Reader['refuse']): Position | null {
  if (geometry === null || geometry === undefined) return null;
  const { coordinates } = geometry as { coordinates?: unknown };
  if (geometryType(geometry) !== 'Point') {
    refuse('geometry', 'not-a-point', 'a point to protect needs a Point');
    return null;
  }
  const fault = positionFault(coordinates);
  if (fault) refuse('geometry', fault.code, fault.what);
  return fault ? null : flat(coordinates as number[]);
}

function readLine(raw: RawFeature, fields: Reader): FileLine {
  const path = pathOf(raw.geometry, fields.refuse);
  const name = fields.text('name');
  if (name === null) fields.refuse('name', 'missing-value', 'give the line a name');
  return {
    name: name ?? '',
    kind: fields.oneOf('kind', lineKinds),
    lengthFeet: fields.feet('length_feet'),
    measuredFeet: path ? Math.round(measurePathFeet(path) * 10) / 10 : null,
    widthFeet: fields.feet('width_feet'),
    readyOn: fields.dated('ready_on', parseIsoDate, '2026-11-06'),
    goodUntil: fields.dated('good_until', parseIsoDate, '2027-03-31'),
    unitCodes: fields.listOf('units'),
    path,
  };
}

function readPoint(raw: RawFeature, fields: Reader): FilePoint {
  const name = fields.text('name');
  if (name === null) fields.refuse('name', 'missing-value', 'give the point a name');
  const bars = fields.listOf('bars');
  const unknown = bars?.find((one) => !families.some((family) => family === one));
  if (unknown)
    fields.refuse('bars', 'unknown-value', `"${unknown}" is not one of ${families.join(', ')}`);
  return {
    name: name ?? '',
    kind: fields.oneOf('kind', pointKinds),
    position: pointOf(raw.geometry, fields.refuse),
    unitCodes: fields.listOf('units'),
    bufferFeet: fields.feet('buffer_feet'),
    barsFamilies: bars === null ? null : families.filter((family) => bars.includes(family)),
    opens: fields.dated('opens', parseMonthDay, '04-15'),
    closes: fields.dated('closes', parseMonthDay, '07-15'),
    firmness: fields.oneOf('firmness', ['hard', 'ask-first'] as const),
    rule: fields.text('rule'),
  };
}

interface Reading {
  context: LandFileContext;
  list: ProblemList;
  notes: Problem[];
  file: LandFile;
  readUnit: ReturnType<typeof unitReader>;
}

function readUnit(raw: RawFeature, number: number, fields: Reader, reading: Reading): FileUnit {
  const { context, list, notes } = reading;
  // A placemark that is only drawn and named: its name is the code.
  const code = fields.text('code') ?? fields.text('name') ?? '';
  const known = context.units.find((unit) => unit.code === code);
  const place = `Feature ${number} (${code.slice(0, 20)})`;
  const values: RawUnit = {
    ...raw.properties,
    code,
    name: fields.text('name') ?? known?.name ?? code,
    community: fields.text('community') ?? known?.communityKey ?? context.communityKey ?? '',
  };
  const { acres, ...own } = reading.readUnit(values, number, place);
  const boundary =
    raw.geometry === null || raw.geometry === undefined
      ? null
      : boundaryOf(raw.geometry, (fault, what) => fields.refuse('geometry', fault, what));
  const measured = boundary ? measureBoundary(boundary) : null;
  const absurd = measured ? acresProblem(measured.acres, number, place) : null;
  if (absurd) list.add(absurd);
  const areaAcres =
    acres ?? known?.areaAcres ?? (measured && Math.round(measured.acres * 100) / 100);
  if (areaAcres === null)
    fields.refuse('acres', 'missing-value', 'a unit that is not mapped needs its acres');
  const unit: FileUnit = {
    ...own,
    areaAcres: areaAcres ?? 0,
    measuredAcres: measured?.acres ?? null,
    perimeterFeet: measured?.perimeterFeet ?? null,
    boundary,
    blockCode: fields.text('block'),
  };
  const note = acresNote(unit, number, place);
  if (note) notes.push(note);
  return unit;
}

function readFeature(raw: RawFeature, number: number, reading: Reading): void {
  const { list, file } = reading;
  const type = geometryType(raw.geometry);
  const said = raw.properties['what'];
  const what = landNouns.find((noun) => noun === said) ?? geometryNouns[type];
  const fields = featureReader(raw, number, `Feature ${number}`, list);
  if (!what) {
    fields.refuse(
      'geometry',
      'unknown-geometry',
      `"${type || 'none'}" cannot be told apart: use polygons for units, lines for lines, points for points, or say unit, line or point in the property "what"`,
    );
    return;
  }
  if (what === 'unit') file.units.push(readUnit(raw, number, fields, reading));
  else if (what === 'line') file.lines.push(readLine(raw, fields));
  else if (what === 'point') file.points.push(readPoint(raw, fields));
  else {
    const code = fields.text('code');
    if (code === null) fields.refuse('code', 'missing-value', 'give the block its code');
    else file.blocks.push({ code, name: fields.text('name') ?? code });
  }
}

function refuseTwins(file: LandFile, list: ProblemList): void {
  const kinds: [string, string[]][] = [
    ['block', file.blocks.map(({ code }) => code)],
    ['line', file.lines.map(({ name }) => name)],
    ['point', file.points.map(({ name }) => name)],
  ];
  for (const [what, keys] of kinds)
    for (const key of new Set(keys.filter((one, at) => keys.indexOf(one) < at)))
      list.add({
        code: 'name-twice',
        ref: key,
        message: `The ${what} "${key}" stands twice: a file is matched by name; rename one of them.`,
      });
}

function unreadNote(features: readonly RawFeature[]): Problem[] {
  const known = new Set(['what', ...Object.values(landFileFields).flat()]);
  const unread = [...new Set(features.flatMap(({ properties }) => Object.keys(properties)))].filter(
    (name) => !known.has(name),
  );
  if (unread.length === 0) return [];
  const shown = unread.slice(0, 20).join(', ').slice(0, 300);
  return [{ code: 'properties-not-read', message: `These properties are not read: ${shown}.` }];
}

/** Units, blocks, lines and points out of features of GeoJSON or KML. */
export function readLandFeatures(
  features: readonly RawFeature[],
  context: LandFileContext,
  notes: Problem[] = [],
): LandFileReading {
  const list = problemList();
  const file: LandFile = { units: [], blocks: [], lines: [], points: [] };
  const all = [...notes, ...unreadNote(features)];
  const reading: Reading = { context, list, notes: all, file, readUnit: unitReader(context, list) };
  for (const [index, feature] of features.entries()) readFeature(feature, index + 1, reading);
  refuseTwins(file, list);
  return { file, problems: list.problems, problemCount: list.count(), notes: all };
}
