import type { Outcome, Problem } from '../core/problems.ts';
import type { Boundary } from '../core/units.ts';
import { boundaryOf, featuresOf } from './geojson-units.ts';

/** A boundary from a collection, with the code that it is given there; null = none. */
export interface DrawnPart {
  code: string | null;
  boundary: Boundary;
}

function property(feature: unknown, name: string): unknown {
  const properties = (feature as { properties?: Record<string, unknown> | null }).properties;
  return properties?.[name];
}

/** Boundaries of a GeoJSON FeatureCollection (RFC 7946) in their order. Each problem names the feature and the fix. */
export function readParts(text: string): Outcome<DrawnPart[]> {
  const read = featuresOf(text);
  if ('problem' in read) return { ok: false, problems: [read.problem] };
  const problems: Problem[] = [];
  const parts = read.features.flatMap((feature, at): DrawnPart[] => {
    const geometry =
      typeof feature === 'object' && feature !== null && 'geometry' in feature
        ? feature.geometry
        : null;
    const boundary = boundaryOf(geometry, (code, what) =>
      problems.push({ code, message: `Boundary ${at + 1}: ${what}.` }),
    );
    const code = boundary ? property(feature, 'code') : null;
    return boundary ? [{ code: typeof code === 'string' ? code : null, boundary }] : [];
  });
  return problems.length > 0 ? { ok: false, problems } : { ok: true, value: parts };
}
