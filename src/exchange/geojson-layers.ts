import type { Position } from '../core/geometry.ts';
import type { Stretch } from '../core/map-layers.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { featuresOf, positionFault } from './geojson-units.ts';

type Json = Record<string, unknown>;

const isObject = (value: unknown): value is Json =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Names of properties that say what a line is called, or how high it lies; the first one that is filled counts. */
const labelNames = ['name', 'label', 'elevation', 'elev', 'height', 'contour', 'ele'] as const;

function labelOf(feature: Json): string {
  const properties = isObject(feature['properties']) ? feature['properties'] : {};
  const byName = new Map(
    Object.entries(properties).map(([key, value]) => [key.toLowerCase(), value]),
  );
  for (const name of labelNames) {
    const value = byName.get(name);
    if (typeof value === 'number' || (typeof value === 'string' && value.trim() !== ''))
      return String(value);
  }
  return '';
}

/** Lines of a geometry (RFC 7946, section 3.1); of a polygon its rings, for ponds. */
function linesOf(geometry: unknown): unknown[] {
  if (!isObject(geometry)) return [];
  const { type, coordinates } = geometry;
  if (type === 'LineString') return [coordinates];
  if (!Array.isArray(coordinates)) return [];
  if (type === 'MultiLineString' || type === 'Polygon') return coordinates;
  return type === 'MultiPolygon' ? coordinates.flat() : [];
}

function pathOf(line: unknown, say: (code: string, what: string) => void): Position[] | null {
  if (!Array.isArray(line)) {
    say('not-a-line', 'it is not a list of positions: export it again');
    return null;
  }
  for (const position of line) {
    const fault = positionFault(position);
    if (!fault) continue;
    say(fault.code, fault.what);
    return null;
  }
  return (line as number[][]).map(
    ([longitude = 0, latitude = 0]): Position => [longitude, latitude],
  );
}

/**
 * Stretches of roads, creeks or contours from a GeoJSON FeatureCollection (RFC 7946), with the name or height that the file
 * gives. All or nothing; each problem names the feature and the fix.
 */
export function readStretches(text: string): Outcome<Stretch[]> {
  const read = featuresOf(text);
  if ('problem' in read) return { ok: false, problems: [{ ...read.problem, field: 'text' }] };
  const problems: Problem[] = [];
  const stretches = read.features.flatMap((feature, at): Stretch[] => {
    if (!isObject(feature)) return [];
    const label = labelOf(feature);
    return linesOf(feature['geometry']).flatMap((line): Stretch[] => {
      const path = pathOf(line, (code, what) =>
        problems.push({ code, field: 'text', message: `Line ${at + 1}: ${what}.` }),
      );
      return path ? [{ label, path }] : [];
    });
  });
  if (problems.length > 0) return { ok: false, problems: problems.slice(0, 20) };
  if (stretches.length > 0) return { ok: true, value: stretches };
  const message =
    'File: it holds no lines and no outlines; export roads, creeks or contours as lines.';
  return { ok: false, problems: [{ code: 'no-lines', field: 'text', message }] };
}
