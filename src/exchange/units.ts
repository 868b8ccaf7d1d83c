import { readCsvUnits } from './csv-units.ts';
import { readGeoJsonUnits } from './geojson-units.ts';
import { refused, type UnitFileContext, type UnitFileReading } from './unit-file.ts';

/** Reads a file of units by the ending of its name: .geojson or .json, or .csv. */
export function readUnits(
  fileName: string,
  text: string,
  context: UnitFileContext,
): UnitFileReading {
  if (/\.(geojson|json)$/i.test(fileName)) return readGeoJsonUnits(text, context);
  if (/\.csv$/i.test(fileName)) return readCsvUnits(text, context);
  return refused({
    code: 'unknown-file-kind',
    message: `"${fileName.slice(0, 80)}" is not a file that can be read here: its name has to end in .geojson, .json or .csv.`,
    field: 'file',
  });
}
