import { landFileFields } from '../../core/land-file.ts';
import type { LandFileRow } from '../../core/land-file-changes.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps, LandFilePreview } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { type Shell, shellOf } from './shell.ts';

export interface LandFilesPage {
  shell: Shell;
  properties: {
    id: number;
    name: string;
    unitCount: number;
    lineCount: number;
    pointCount: number;
  }[];
  propertyOptions: { key: string; name: string }[];
  communities: { key: string; name: string }[];
  fields: typeof landFileFields;
  /** Names of changed fields as people say them. */
  fieldNames: Readonly<Record<string, string>>;
  form: FormState;
  problemCount: number;
  notes: Problem[];
  /** What the file would change; null before one, or when it cannot be taken. */
  preview: {
    propertyName: string;
    groups: { state: LandFileRow['state']; name: string; rows: LandFileRow[] }[];
    changeCount: number;
    breaks: Problem[];
    /** The text as it was read, sent along until it is taken over. */
    text: string;
    seen: string;
  } | null;
  /** Rows taken over by the last try; null before one. */
  taken: number | null;
}

const groupNames: Record<LandFileRow['state'], string> = {
  new: 'New',
  changed: 'Changed',
  unchanged: 'Unchanged',
  missing: 'On file and not in this file: they stay',
};

const fieldNames: Readonly<Record<string, string>> = {
  areaAcres: 'acres',
  measuredAcres: 'acres on the map',
  perimeterFeet: 'outer edge, feet',
  communityKey: 'natural community',
  slopePercent: 'slope, per cent',
  densityClass: 'density',
  lengthFeet: 'length, feet',
  widthFeet: 'width, feet',
  readyOn: 'made on',
  goodUntil: 'good until',
  path: 'course',
  bufferFeet: 'buffer, feet',
  barsFamilies: 'bars work',
};

/** What a preview said, in one word: taking over something else is asked about again. */
export function seenOf(report: readonly LandFileRow[]): string {
  return report
    .filter(({ state }) => state === 'new' || state === 'changed')
    .map(({ what, key, changes }) => `${what} ${key} ${changes.length}`)
    .join('; ');
}

function groupsOf(report: readonly LandFileRow[]) {
  return (Object.keys(groupNames) as LandFileRow['state'][]).flatMap((state) => {
    const rows = report.filter((row) => row.state === state);
    return rows.length === 0 ? [] : [{ state, name: groupNames[state], rows }];
  });
}

export interface LandFileOutcome {
  values: Record<string, string>;
  text: string;
  preview?: LandFilePreview;
  problems?: Problem[];
  taken?: number;
}

/** Land as files: the links to keep one, and what a file would change. */
export function landFilesPage(deps: Deps, outcome: LandFileOutcome | null): LandFilesPage {
  const { properties, units, lines, points, communities } = deps.operation();
  const countOf = (rows: readonly { propertyId: number }[], id: number) =>
    rows.filter(({ propertyId }) => propertyId === id).length;
  const preview = outcome?.preview ?? null;
  const problems = [...(outcome?.problems ?? []), ...(preview?.problems ?? [])];
  const isSound = preview !== null && preview.problems.length === 0;
  const report = preview?.report ?? [];
  const changeCount = report.filter(({ state }) => state === 'new' || state === 'changed').length;
  return {
    shell: shellOf(deps, 'more', 'The land as files, in and out'),
    properties: properties.map(({ id, name }) => ({
      id,
      name,
      unitCount: countOf(units, id),
      lineCount: countOf(lines, id),
      pointCount: countOf(points, id),
    })),
    propertyOptions: properties.map(({ id, name }) => ({ key: String(id), name })),
    communities: [
      { key: '', name: 'each new unit has to name its own' },
      ...communities.map(({ key, name }) => ({ key, name })),
    ],
    fields: landFileFields,
    fieldNames,
    form: outcome ? { values: outcome.values, problems } : blankForm,
    problemCount: Math.max(problems.length, preview?.problemCount ?? 0),
    notes: preview?.notes ?? [],
    preview:
      isSound && outcome
        ? {
            propertyName:
              properties.find(({ id }) => String(id) === outcome.values['propertyId'])?.name ?? '',
            groups: groupsOf(report),
            changeCount,
            breaks: preview.breaks,
            text: outcome.text,
            seen: seenOf(report),
          }
        : null,
    taken: outcome?.taken ?? null,
  };
}
