import { crossingOf, isInside, type Position, polygonsOf, sharedEdges } from '../core/geometry.ts';
import type { Problem } from '../core/problems.ts';
import type { Boundary } from '../core/units.ts';
import { measureBoundary } from './measure.ts';
import {
  acresNote,
  acresProblem,
  type ImportedUnit,
  type ProblemList,
  problemList,
  type RawUnit,
  refused,
  type UnitFileContext,
  type UnitFileReading,
  unitFields,
  unitReader,
  unitsMost,
  wholeFileProblem,
} from './unit-file.ts';

type Json = Record<string, unknown>;

function isObject(value: unknown): value is Json {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function jsonProblem(text: string, error: unknown): Problem {
  const at = /position (\d+)/.exec(String(error));
  const where = at ? { line: text.slice(0, Number(at[1])).split('\n').length } : {};
  return {
    code: 'not-json',
    message: `The file is not JSON${at ? ` (line ${where.line})` : ''}: export the units again as GeoJSON, whole and unedited.`,
    ...where,
  };
}

/** The features of a collection, or what is wrong with the file as a whole. */
export function featuresOf(text: string): { features: unknown[] } | { problem: Problem } {
  let root: unknown;
  try {
    root = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    return { problem: jsonProblem(text, error) };
  }
  if (!isObject(root) || root['type'] !== 'FeatureCollection' || !Array.isArray(root['features']))
    return {
      problem: {
        code: 'not-feature-collection',
        message:
          'The file is not a GeoJSON FeatureCollection: export the layer of units as GeoJSON.',
        field: 'type',
      },
    };
  const crs = JSON.stringify(root['crs'] ?? null);
  if (crs !== 'null' && !/CRS84|EPSG:+4326/.test(crs))
    return {
      problem: {
        code: 'wrong-coordinate-system',
        message: `The file is in another coordinate system (${crs.slice(0, 80)}): export it in WGS 84, EPSG:4326, longitude and latitude.`,
        field: 'crs',
      },
    };
  const { features } = root;
  if (features.length === 0)
    return {
      problem: {
        code: 'no-units',
        message: 'The file holds no features: export at least one unit.',
      },
    };
  if (features.length > unitsMost)
    return {
      problem: {
        code: 'too-many-units',
        message: `The file holds ${features.length} units: split it, at most ${unitsMost} are read at a time.`,
      },
    };
  return { features };
}

/** Why a position cannot be used, or null. No land that is burned lies south of 60 S or north of 84 N. */
export function positionFault(position: unknown): { code: string; what: string } | null {
  const [longitude, latitude] = Array.isArray(position) ? position : [];
  if (!Number.isFinite(longitude) || !Number.isFinite(latitude))
    return {
      code: 'not-a-position',
      what: `${JSON.stringify(position)?.slice(0, 60)} is not a position: each is [longitude, latitude] in degrees`,
    };
  const shown = `[${longitude}, ${latitude}]`;
  if (Math.abs(longitude) > 180 || Math.abs(latitude) > 180)
    return {
      code: 'coordinate-out-of-range',
      what: `${shown} is outside -180 to 180 and -90 to 90 degrees: export the layer in WGS 84, longitude and latitude, not in metres or feet`,
    };
  if (latitude < -60 || latitude > 84)
    return Math.abs(longitude) <= 84
      ? {
          code: 'coordinate-swapped',
          what: `${shown} looks as if latitude stands first: write longitude before latitude`,
        }
      : {
          code: 'coordinate-out-of-range',
          what: `${shown} has a latitude where no land is managed: check the coordinates`,
        };
  return null;
}

/** First fault of a ring, or null. */
function ringFault(ring: unknown): { code: string; what: string } | null {
  if (!Array.isArray(ring))
    return { code: 'not-a-ring', what: 'a ring is not a list of positions: export it again' };
  for (const position of ring) {
    const fault = positionFault(position);
    if (fault) return fault;
  }
  if (ring.length < 4)
    return {
      code: 'too-few-positions',
      what: `a ring has ${ring.length} positions: it needs at least 4, the last like the first`,
    };
  const [first, last] = [ring[0], ring.at(-1)] as [Position, Position];
  if (first[0] !== last[0] || first[1] !== last[1])
    return {
      code: 'ring-not-closed',
      what: `a ring ends at [${last[0]}, ${last[1]}] and starts at [${first[0]}, ${first[1]}]: close it by repeating the first position at the end`,
    };
  return null;
}

/** Fault of the outline as a whole: crossing edges, a hole outside, a part inside another part. */
function shapeFault(boundary: Boundary): { code: string; what: string } | null {
  const crossing = crossingOf(boundary);
  if (crossing)
    return {
      code: 'outline-crosses-itself',
      what: `it crosses or touches itself near longitude ${crossing[0]}, latitude ${crossing[1]}: mend the edge there`,
    };
  const polygons = polygonsOf(boundary);
  for (const [outer, ...holes] of polygons) {
    const loose = holes.find((hole) => !hole.some((position) => isInside(position, [outer!])));
    if (loose)
      return {
        code: 'hole-outside',
        what: `a hole at longitude ${loose[0]![0]}, latitude ${loose[0]![1]} lies outside its outline: take it out or draw it as a part`,
      };
  }
  const nested = polygons.find((own, index) =>
    polygons.some(
      (other, at) => at !== index && own[0]!.every((position) => isInside(position, other)),
    ),
  );
  if (nested)
    return {
      code: 'parts-overlap',
      what: `a part at longitude ${nested[0]![0]![0]}, latitude ${nested[0]![0]![1]} lies inside another part: take one out, its acres would count twice`,
    };
  return null;
}

/** The outline of a feature, heights dropped; null with its first fault told to `refuse`. */
export function boundaryOf(
  geometry: unknown,
  refuse: (code: string, what: string) => void,
): Boundary | null {
  const type = isObject(geometry) ? geometry['type'] : null;
  const coordinates = isObject(geometry) ? geometry['coordinates'] : null;
  if ((type !== 'Polygon' && type !== 'MultiPolygon') || !Array.isArray(coordinates)) {
    refuse(
      'not-a-polygon',
      `it is ${type ? `a ${String(type)}` : 'missing'}: each unit needs a Polygon or MultiPolygon`,
    );
    return null;
  }
  const polygons: unknown[] = type === 'Polygon' ? [coordinates] : coordinates;
  if (
    polygons.length === 0 ||
    !polygons.every((rings) => Array.isArray(rings) && rings.length > 0)
  ) {
    refuse('not-a-ring', 'it has no ring: draw its outline');
    return null;
  }
  const [ringsFault] = (polygons as unknown[][]).flat().flatMap((ring) => ringFault(ring) ?? []);
  if (ringsFault) {
    refuse(ringsFault.code, ringsFault.what);
    return null;
  }
  const plain = (polygons as Position[][][]).map((rings) =>
    rings.map((ring) => ring.map(([longitude, latitude]) => [longitude, latitude])),
  );
  const boundary: Boundary =
    type === 'Polygon' ? { type, coordinates: plain[0]! } : { type, coordinates: plain };
  const fault = shapeFault(boundary);
  if (fault) refuse(fault.code, fault.what);
  return fault ? null : boundary;
}

function readFeature(
  feature: unknown,
  number: number,
  read: ReturnType<typeof unitReader>,
  list: ProblemList,
  notes: Problem[],
): ImportedUnit | null {
  const properties = isObject(feature) ? feature['properties'] : null;
  if (!isObject(feature) || feature['type'] !== 'Feature' || !isObject(properties)) {
    list.add({
      code: 'not-a-feature',
      message: `Feature ${number}: it is not a GeoJSON Feature with properties: each unit needs code and community among its properties.`,
      line: number,
    });
    return null;
  }
  const code = properties['code'];
  const place =
    typeof code === 'string' && code.trim() !== ''
      ? `Feature ${number} (${code.trim().slice(0, 20)})`
      : `Feature ${number}`;
  const { acres, ...own } = read(properties as RawUnit, number, place);
  const boundary = boundaryOf(feature['geometry'], (fault, what) =>
    list.add({
      code: fault,
      message: `${place}, outline: ${what}.`,
      field: 'geometry',
      line: number,
    }),
  );
  if (!boundary) return null;
  const measured = measureBoundary(boundary);
  const absurd = acresProblem(measured.acres, number, place);
  if (absurd) list.add(absurd);
  const unit: ImportedUnit = {
    ...own,
    areaAcres: acres ?? Math.round(measured.acres * 100) / 100,
    measuredAcres: measured.acres,
    perimeterFeet: measured.perimeterFeet,
    boundary,
  };
  const note = acresNote(unit, number, place);
  if (note && !absurd) notes.push(note);
  return unit;
}

/** Names properties that the file has and that are not read, so that a misspelt one is noticed. */
function unreadNote(features: readonly unknown[]): Problem[] {
  const names = new Set(
    features.flatMap((feature) =>
      isObject(feature) && isObject(feature['properties'])
        ? Object.keys(feature['properties'])
        : [],
    ),
  );
  for (const field of unitFields) names.delete(field);
  if (names.size === 0) return [];
  const shown = [...names].slice(0, 20).join(', ').slice(0, 300);
  return [
    {
      code: 'properties-not-read',
      message: `These properties are not read: ${shown}. Those that are: ${unitFields.join(', ')}.`,
    },
  ];
}

/**
 * Units from a GeoJSON FeatureCollection (RFC 7946) of polygons, with acres and edges measured on the ellipsoid and
 * neighbours found by shared edges. Rings may wind either way. All or nothing; every problem names its feature (first
 * is 1), field and fix.
 */
export function readGeoJsonUnits(text: string, context: UnitFileContext): UnitFileReading {
  const whole = wholeFileProblem(text, context);
  if (whole) return refused(whole);
  const found = featuresOf(text);
  if ('problem' in found) return refused(found.problem);
  const list = problemList();
  const notes = unreadNote(found.features);
  const read = unitReader(context, list);
  const units = found.features.flatMap(
    (feature, index) => readFeature(feature, index + 1, read, list, notes) ?? [],
  );
  if (list.count() > 0)
    return {
      units: [],
      neighbours: [],
      problems: list.problems,
      problemCount: list.count(),
      notes,
    };
  const places = units.flatMap(({ code, boundary }) => (boundary ? [{ code, boundary }] : []));
  return { units, neighbours: sharedEdges(places), problems: [], problemCount: 0, notes };
}
