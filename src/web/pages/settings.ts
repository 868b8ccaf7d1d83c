import { type Weights, weightNames, weightsDefault } from '../../core/costs.ts';
import type { Crew } from '../../core/crews.ts';
import { type IsoDate, yearOf } from '../../core/dates.ts';
import type { Property } from '../../core/properties.ts';
import { anchorNames } from '../../core/seasons.ts';
import type { FitDayTable } from '../../core/weather/supply.ts';
import type { Deps } from '../deps.ts';
import type { FormState } from '../forms/form.ts';
import { spansText } from '../forms/spans.ts';
import * as words from '../words.ts';
import { sourceWords } from './sequences.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

/** One form of the page; `id` is unique on it and names the form in a refused post. */
interface SettingsForm {
  id: string;
  path: string;
  state: FormState;
}

export interface SettingsPage {
  shell: Shell;
  /** Problems of the form that was refused, with its id. */
  refused: SettingsForm | null;
  weights: SettingsForm & { fields: { name: keyof Weights; label: string; hint: string }[] };
  supply: SettingsForm;
  anchors: (SettingsForm & { property: string; year: number })[];
  crews: (SettingsForm & {
    name: string;
    kind: Crew['kind'];
    skills: string;
    workdays: number[];
  })[];
  fitDays: (SettingsForm & {
    name: string;
    label: string;
    source: string;
    isCheck: boolean;
    resetPath: string;
    /** The form of the prescription that the days are counted by. */
    prescriptionPath: string;
  })[];
}

const state = (values: FormState['values']): FormState => ({ values, problems: [] });

function anchorValues(property: Property, year: number): FormState {
  const values = anchorNames.flatMap((anchor): [string, string][] => {
    const own = property.anchors.byYear.find(
      (row) => row.anchor === anchor && row.year === year && row.how === 'observed',
    );
    return [
      [`usual-${anchor}`, property.anchors.usual[anchor]],
      [`observed-${anchor}`, own?.date ?? ''],
    ];
  });
  return state(Object.fromEntries(values));
}

function crewValues(crew: Crew): FormState {
  return state({
    name: crew.name,
    peopleCount: String(crew.peopleCount),
    spreadDaysPerWeek: String(crew.spreadDaysPerWeek),
    costPerDayUsd: String(crew.costPerDayUsd),
    workdays: crew.workdays.join(','),
    daysOff: spansText(crew.daysOff),
    onSpans: spansText(crew.enteredSpans ?? crew.onSpans ?? []),
  });
}

/** Half-month figures of a table added up by month. */
export function monthlyOf(table: FitDayTable): number[] {
  return words.monthNames.map((_, at) => {
    const sum = (table.fitDays[at * 2] ?? 0) + (table.fitDays[at * 2 + 1] ?? 0);
    return Math.round(sum * 10) / 10;
  });
}

function fitDayValues(table: FitDayTable): FormState {
  return state(
    Object.fromEntries(monthlyOf(table).map((days, at) => [`m${at + 1}`, String(days)])),
  );
}

function supplyValues(deps: Deps): FormState {
  const { supply, seasonsAfter, shareBlackPercentLeast } = deps.operation().settings;
  const percent = (share: number) => String(Math.round(share * 1000) / 10);
  return state({
    level: supply.level,
    weekdayPercent: percent(supply.weekdayShare),
    usedPercent: percent(supply.usedShare),
    seasonsAfter: String(seasonsAfter),
    shareBlackPercentLeast: String(shareBlackPercentLeast),
  });
}

function weightFields(): SettingsPage['weights']['fields'] {
  return Object.entries(weightNames).map(([key, label]) => {
    const name = key as keyof Weights;
    return { name, label, hint: `default ${words.number(weightsDefault[name], 2)}` };
  });
}

function fitDayForms(deps: Deps): SettingsPage['fitDays'] {
  const operation = deps.operation();
  return operation.fitDays.flatMap((table) => {
    const prescription = operation.prescriptions.find((one) => one.key === table.prescriptionKey);
    if (!prescription) return [];
    const path = `/settings/fit-days/${encodeURIComponent(prescription.key)}`;
    return [
      {
        id: `fit-${prescription.key}`,
        path,
        resetPath: `${path}/default`,
        prescriptionPath: `/records/prescriptions/${prescription.key}`,
        state: fitDayValues(table),
        name: prescription.name,
        label: `${table.origin === 'history' ? 'counted from weather history' : 'table by month'}: ${table.label}`,
        source: sourceWords(prescription),
        isCheck: prescription.use === 'check',
      },
    ];
  });
}

/** Every form of the page. */
export function settingsForms(page: SettingsPage): SettingsForm[] {
  return [page.weights, page.supply, ...page.anchors, ...page.crews, ...page.fitDays];
}

/** What the Settings page shows; the refused form, if any, as it was typed. */
export function settingsPage(
  deps: Deps,
  refused: { id: string; state: FormState } | null = null,
): SettingsPage {
  const operation = deps.operation();
  const page: SettingsPage = {
    shell: shellOf(deps, 'more', 'Which figures does the plan use?'),
    refused: null,
    weights: {
      id: 'weights',
      path: '/settings/weights',
      state: state(
        Object.fromEntries(
          Object.entries(operation.settings.weights).map(([name, value]) => [name, String(value)]),
        ),
      ),
      fields: weightFields(),
    },
    supply: { id: 'supply', path: '/settings/supply', state: supplyValues(deps) },
    anchors: operation.properties.map((property) => {
      const today: IsoDate = todayAt(deps, property);
      return {
        id: `anchors-${property.id}`,
        path: `/settings/anchors/${property.id}`,
        property: property.name,
        year: yearOf(today),
        state: anchorValues(property, yearOf(today)),
      };
    }),
    crews: operation.crews.map((crew) => ({
      id: `crew-${crew.id}`,
      path: `/settings/crews/${crew.id}`,
      name: crew.name,
      kind: crew.kind,
      skills: words.list(crew.skills),
      workdays: crew.workdays,
      state: crewValues(crew),
    })),
    fitDays: fitDayForms(deps),
  };
  const form = settingsForms(page).find((one) => one.id === refused?.id);
  if (form && refused) {
    form.state = { ...refused.state, stored: form.state.values };
    page.refused = form;
  }
  return page;
}
