import { sharedEdges } from '../core/geometry.ts';
import type { Problem } from '../core/problems.ts';
import type { Boundary } from '../core/units.ts';
import { readUnits } from '../exchange/units.ts';
import type { OperationFile } from './operation-file.ts';

/** What an import of units did: all of the file, or nothing. */
export interface UnitImport {
  added: number;
  updated: number;
  /** First 200 problems; with any of them nothing was saved. */
  problems: Problem[];
  problemCount: number;
  /** Worth a look, and no bar. */
  notes: Problem[];
}

/** Reads a file of units into a property; neighbours are found anew over all its outlines. */
export function importUnits(
  file: OperationFile,
  propertyId: number,
  fileName: string,
  text: string,
): UnitImport {
  const operation = file.operation();
  const reading = readUnits(fileName, text, {
    communityKeys: operation.communities.map((community) => community.key),
  });
  const { problems, problemCount, notes } = reading;
  if (problemCount > 0) return { added: 0, updated: 0, problems, problemCount, notes };
  const boundaries = new Map<string, Boundary>();
  for (const unit of operation.units)
    if (unit.propertyId === propertyId && unit.boundary) boundaries.set(unit.code, unit.boundary);
  for (const unit of reading.units) if (unit.boundary) boundaries.set(unit.code, unit.boundary);
  const edges = sharedEdges([...boundaries].map(([code, boundary]) => ({ code, boundary })));
  const prescriptions = new Map(
    operation.communities.map(({ key, prescriptionKey }) => [key, prescriptionKey]),
  );
  const outcome = file.store.importUnits(
    propertyId,
    reading.units.map((unit) => ({
      ...unit,
      prescriptionKey: prescriptions.get(unit.communityKey) ?? null,
    })),
    [],
    edges.map(({ codes, sharedFeet }) => ({ unitCodes: codes, sharedFeet })),
  );
  if (outcome.ok) return { ...outcome.value, problems: [], problemCount: 0, notes };
  return {
    added: 0,
    updated: 0,
    problems: outcome.problems,
    problemCount: outcome.problems.length,
    notes,
  };
}
