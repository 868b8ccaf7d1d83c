import { sharedEdges } from '../core/geometry.ts';
import { landFeatures } from '../core/land-file.ts';
import { type LandFileChanges, landFileChanges } from '../core/land-file-changes.ts';
import type { Problem } from '../core/problems.ts';
import type { Boundary } from '../core/units.ts';
import { noDetail } from '../core/work-details.ts';
import { noWorkInside } from '../core/worklog.ts';
import { readHistoryTable } from '../exchange/csv-history.ts';
import { csvText } from '../exchange/csv-text.ts';
import { writeGeoJsonLand } from '../exchange/geojson-land.ts';
import { readStretches } from '../exchange/geojson-layers.ts';
import { writeKml } from '../exchange/kml.ts';
import { readLandFile } from '../exchange/land-file.ts';
import type { Deps, LandFileUpload } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { tryChange } from './trial.ts';

/** The text of a property's land as a file. */
export function exportLand(
  file: OperationFile,
  propertyId: number,
  kind: 'geojson' | 'kml',
): string {
  const operation = file.operation();
  const features = landFeatures(operation, propertyId);
  const name = operation.properties.find((one) => one.id === propertyId)?.name ?? '';
  return kind === 'kml' ? writeKml(name, features) : writeGeoJsonLand(features);
}

interface ReadFile {
  changes: LandFileChanges | null;
  problems: Problem[];
  problemCount: number;
  notes: Problem[];
}

function read(file: OperationFile, { propertyId, text, communityKey }: LandFileUpload): ReadFile {
  const operation = file.operation();
  const { problems, problemCount, notes, ...reading } = readLandFile(text, {
    communityKeys: operation.communities.map(({ key }) => key),
    units: operation.units.filter((unit) => unit.propertyId === propertyId),
    communityKey,
  });
  if (problemCount > 0) return { changes: null, problems, problemCount, notes };
  const outcome = landFileChanges(reading.file, operation, propertyId);
  if (outcome.ok) return { changes: outcome.value, problems: [], problemCount: 0, notes };
  return {
    changes: null,
    problems: outcome.problems,
    problemCount: outcome.problems.length,
    notes,
  };
}

/** Edges shared by the units as they would be; null when no boundary changes. */
function neighboursAfter(file: OperationFile, propertyId: number, { units }: LandFileChanges) {
  const boundaries = new Map<string, Boundary>();
  for (const unit of file.operation().units)
    if (unit.propertyId === propertyId && unit.boundary) boundaries.set(unit.code, unit.boundary);
  const before = new Map(boundaries);
  for (const { unit } of units) if (unit.boundary) boundaries.set(unit.code, unit.boundary);
  if ([...boundaries].every(([code, one]) => before.get(code) === one)) return null;
  return sharedEdges([...boundaries].map(([code, boundary]) => ({ code, boundary }))).map(
    ({ codes, sharedFeet }) => ({ unitCodes: codes, sharedFeet }),
  );
}

function take(file: OperationFile, propertyId: number, changes: LandFileChanges): Problem[] {
  const { communities } = file.operation();
  return file.store.takeLandFile(
    propertyId,
    changes,
    neighboursAfter(file, propertyId, changes),
    (key) => communities.find((one) => one.key === key)?.prescriptionKey ?? null,
  );
}

/** Land and history as files. */
export function webFiles(file: OperationFile): Deps['files'] {
  return {
    exportLand: (propertyId, kind) => exportLand(file, propertyId, kind),
    previewLand: (upload) => {
      const { changes, problems, problemCount, notes } = read(file, upload);
      if (!changes) return { report: [], problems, problemCount, notes, breaks: [] };
      const trial = tryChange(file, () => take(file, upload.propertyId, changes));
      const wrong = trial.value;
      const { report } = changes;
      const gone = trial.vanishing.map(({ key, name, startsOn, lastDay }) => ({
        code: 'task-gone',
        ref: key,
        message: `${name}, planned from ${startsOn} to ${lastDay}, would leave the plan.`,
      }));
      const breaks = [...trial.breaks, ...gone];
      return { report, problems: wrong, problemCount: wrong.length, notes, breaks };
    },
    takeLand: (upload) =>
      file.store.inOneTransaction(() => {
        const { changes, problems } = read(file, upload);
        if (!changes) return problems;
        const wrong = take(file, upload.propertyId, changes);
        if (wrong.length === 0) file.publish();
        return wrong;
      }),
    historyTable: readHistoryTable,
    readStretches,
    csvText,
    takeHistory: (entries, noWorkReason) =>
      file.store.inOneTransaction(() => {
        const operation = file.operation();
        const drafts = entries.map((entry) => {
          const rules = noWorkInside(operation, entry).map(({ name }) => name);
          const said = { rules, approvedBy: '', reference: '', reason: noWorkReason };
          const isAnswered = rules.length > 0 && noWorkReason !== '';
          return { entry, detail: { ...noDetail, noWork: isAnswered ? said : null } };
        });
        const problems = file.store.worklog.recordAll(drafts, file.library);
        if (problems.length === 0) file.publish();
        return problems;
      }),
  };
}
