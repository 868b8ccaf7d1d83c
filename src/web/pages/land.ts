import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { type RecordGroupLinks, recordGroupLinks } from './records.ts';
import { type Shell, shellOf } from './shell.ts';

export interface PropertyLine {
  name: string;
  landowner: string;
  contact: string;
  place: string;
  timeZone: string;
  unitCount: number;
  areaAcres: number;
  unitsPath: string;
  editPath: string;
}

export interface LandPage {
  shell: Shell;
  properties: PropertyLine[];
  canStartOver: boolean;
  /** Every noun of the land with its pages. */
  records: RecordGroupLinks[];
}

/** True while nothing of one's own would be lost: the sample is loaded, or there are no units. */
export function canStartOver(deps: Deps): boolean {
  const { properties, units } = deps.operation();
  return units.length === 0 || properties.every((property) => property.isSample);
}

/** What the Land page shows. */
export function landPage(deps: Deps): LandPage {
  const operation = deps.operation();
  return {
    shell: shellOf(deps, 'more', 'Whose land is it?'),
    canStartOver: canStartOver(deps),
    records: recordGroupLinks(deps),
    properties: operation.properties.map((property) => {
      const landowner = operation.landowners.find((one) => one.id === property.landownerId);
      const units = operation.units.filter((unit) => unit.propertyId === property.id);
      return {
        name: property.name,
        landowner: landowner?.name ?? '',
        contact: landowner?.contact ?? '',
        place: [property.county, property.state].filter((part) => part !== '').join(', '),
        timeZone: property.timeZone,
        unitCount: units.length,
        areaAcres: units.reduce((sum, unit) => sum + unit.areaAcres, 0),
        unitsPath: `/units?property=${property.id}`,
        editPath: `/records/properties/${property.id}`,
      };
    }),
  };
}

export interface StartPage {
  shell: Shell;
  canStartOver: boolean;
  form: FormState;
}

/** The form that begins one's own land. */
export function startPage(deps: Deps, form?: FormState): StartPage {
  return {
    shell: shellOf(deps, 'more', 'Start with your own land'),
    canStartOver: canStartOver(deps),
    form: form ?? { ...blankForm, values: { timeZone: 'America/Chicago' } },
  };
}

/** The question before the sample is loaded. */
export function samplePage(deps: Deps, problems: Problem[] = []): StartPage {
  return {
    shell: shellOf(deps, 'more', 'Load the sample again?'),
    canStartOver: canStartOver(deps),
    form: { values: {}, problems },
  };
}

/** Columns of a land file, as the Guide and the page name them. */
export const importColumns = [
  { name: 'code', meaning: 'short and unique in the property, such as N4; needed' },
  { name: 'name', meaning: 'what people call it' },
  { name: 'acres', meaning: 'needed in CSV; GeoJSON can do without and is measured' },
  { name: 'community', meaning: 'natural community, such as oak-woodland; needed' },
  { name: 'aspect', meaning: 'N, NE, E, SE, S, SW, W, NW or flat' },
  { name: 'slope_percent', meaning: 'a number' },
  { name: 'density', meaning: 'scattered, moderate, dense or thicket' },
  { name: 'tags', meaning: 'facts that no-work dates ask for, with semicolons between' },
] as const;

export interface ImportPage {
  shell: Shell;
  columns: typeof importColumns;
  properties: { key: string; name: string }[];
  /** Units taken in by the last try; null before one. */
  imported: number | null;
  /** Problems of the file found in all; the form holds the first of them. */
  problemCount: number;
  form: FormState;
}

/** The form that takes units from a file, with what became of the last try. */
export function importPage(
  deps: Deps,
  outcome: Partial<Pick<ImportPage, 'imported' | 'problemCount' | 'form'>> = {},
): ImportPage {
  return {
    shell: shellOf(deps, 'more', 'Add units from a file'),
    columns: importColumns,
    properties: deps
      .operation()
      .properties.map((property) => ({ key: String(property.id), name: property.name })),
    imported: null,
    problemCount: 0,
    form: blankForm,
    ...outcome,
  };
}
