import type { LandFile } from '../core/land-file.ts';
import { type LandFileContext, type LandFileReading, readLandFeatures } from './geojson-land.ts';
import { featuresOf } from './geojson-units.ts';
import { readKml } from './kml.ts';
import { wholeFileProblem } from './unit-file.ts';

const emptyFile: LandFile = { units: [], blocks: [], lines: [], points: [] };

/**
 * Reads units, blocks, lines and points from GeoJSON (RFC 7946) or KML 2.2; which it is, its first sign says.
 * All or nothing, each problem with its feature or line.
 */
export function readLandFile(text: string, context: LandFileContext): LandFileReading {
  const refuse = (problems: LandFileReading['problems']): LandFileReading => ({
    file: emptyFile,
    problems,
    problemCount: problems.length,
    notes: [],
  });
  const whole = wholeFileProblem(text, context);
  if (whole) return refuse([{ ...whole, field: 'text' }]);
  const first = text.replace(/^\uFEFF/, '').trimStart()[0];
  if (first === '<') {
    const kml = readKml(text);
    return kml.ok ? readLandFeatures(kml.features, context, kml.notes) : refuse(kml.problems);
  }
  if (first !== '{') {
    const message = 'The text is neither GeoJSON (it starts with {) nor KML (it starts with <).';
    return refuse([{ code: 'unknown-file-kind', field: 'text', message }]);
  }
  const read = featuresOf(text);
  if ('problem' in read) return refuse([read.problem]);
  const features = read.features.map((feature) => {
    const { properties, geometry } = (feature ?? {}) as Record<string, unknown>;
    const isObject = typeof properties === 'object' && properties !== null;
    return { properties: isObject ? (properties as Record<string, unknown>) : {}, geometry };
  });
  return readLandFeatures(features, context);
}
