import {
  bulkSeedPounds,
  burnEffortFormula,
  chainsOf,
  effectiveAcresAnHour,
  firebreakWidths,
  hackCuts,
  hackFormula,
  type JobFormula,
  lineHours,
  lineRateFormula,
  machineFormula,
  personHoursOf,
  publishedBurnDay,
  pureLiveSeedShare,
  seedFormula,
} from '../../core/job-figures.ts';
import {
  halvesFormula,
  humidityAfterWarming,
  roughFineFuelPercent,
  roughFuelFormula,
  spotFormula,
  spottedPercent,
} from '../../core/weather/thumb-rules.ts';
import type { Deps } from '../deps.ts';
import {
  burnDayFields,
  type FigureField,
  figureIn,
  jobFigureFields,
} from '../forms/job-figures.ts';
import * as words from '../words.ts';
import { sourceWords } from './sequences.ts';
import { type Shell, shellOf } from './shell.ts';

type Query = Record<string, string | undefined>;

interface Result {
  name: string;
  words: string;
  /** Of one rule among several. */
  source: string;
}

/** One form of the page with what it gives. */
export interface FigureSection {
  key: string;
  title: string;
  fields: { name: string; label: string; value: string; isOptional: boolean }[];
  results: Result[];
  /** Each result has a rule of its own. */
  hasRules: boolean;
  problems: string[];
  formulas: { formula: string; source: string }[];
  /** Who comes first where the work can hurt. */
  defer: string;
}

export interface JobFiguresPage {
  shell: Shell;
  sections: FigureSection[];
}

interface Kind {
  key: string;
  title: string;
  fields: readonly FigureField[];
  formulas: readonly JobFormula[];
  defer: string;
  results(value: (name: string) => number, known: (name: string) => number | null): Result[];
}

const number = (value: number, digits = 1) => words.number(value, digits);
const line = (name: string, said: string, source = ''): Result => ({ name, words: said, source });

const kinds: Kind[] = [
  {
    key: 'machine',
    title: 'Machine acres an hour',
    fields: jobFigureFields.machine,
    formulas: [machineFormula],
    defer: 'Firm ground, slopes and power lines decide first, and the operator.',
    results: (value) => {
      const rate = effectiveAcresAnHour(value('mph'), value('feet'), value('efficiency') / 100);
      return [
        line('Field capacity', `${number(rate, 2)} acres an hour`),
        line('Hours of the job', `${number(value('acres') / rate)} machine-hours`),
      ];
    },
  },
  {
    key: 'seed',
    title: 'Seed to order',
    fields: jobFigureFields.seed,
    formulas: [seedFormula],
    defer: '',
    results: (value) => {
      const [purity, germination] = [value('purity'), value('germination')];
      const pounds = bulkSeedPounds(value('pounds'), value('seedAcres'), purity, germination);
      const share = pureLiveSeedShare(purity, germination);
      return [
        line('Pure live seed', `${number(share * 100, 2)} % of the lot`),
        line('Bulk for one pound of pure live seed', `${number(1 / share, 2)} pounds`),
        line('To order', `${number(pounds)} pounds of bulk seed`),
      ];
    },
  },
  {
    key: 'width',
    title: 'Line width',
    fields: jobFigureFields.width,
    formulas: [],
    defer:
      'The signed burn plan says the width. Volatile fuel such as large cedar asks for a wide blackline downwind, published from 500 to 700 feet.',
    results: (_, known) =>
      firebreakWidths({
        fuelHeightFeet: known('fuelHeight'),
        flameLengthFeet: known('flameLength'),
        flameHeightFeet: known('flameHeight'),
      }).map((rule) =>
        line(rule.name, `${number(rule.widthFeet)} feet`, `${rule.formula} (${sourceWords(rule)})`),
      ),
  },
  {
    key: 'line',
    title: 'Hours for a line',
    fields: jobFigureFields.line,
    formulas: [lineRateFormula],
    defer: '',
    results: (value) => {
      const [feet, rate, crews] = [value('lineFeet'), value('crewRate'), value('crews')];
      const hours = lineHours(feet, rate, crews);
      const people = value('crewPeople');
      return [
        line('Time', `${number(hours)} hours with ${words.count(crews, 'crew')}`),
        line('Effort', `${number(hours * crews * people)} person-hours`),
        line('One crew', `${number(chainsOf(rate))} chains an hour`),
        line('One person', `${number(rate / people)} feet an hour`),
      ];
    },
  },
  {
    key: 'hack',
    title: 'Stems and cuts for hack-and-squirt',
    fields: jobFigureFields.hack,
    formulas: [hackFormula],
    defer: 'The label is the law: it says the dose, the season and the protection of people.',
    results: (value) => {
      const cuts = hackCuts(value('dbh'));
      const stems = value('stems') * value('hackAcres');
      return [
        line('Cuts into one stem', words.count(cuts, 'cut')),
        line('Stems', number(stems, 0)),
        line('Cuts in all', number(stems * cuts, 0)),
      ];
    },
  },
  {
    key: 'effort',
    title: 'Burn effort',
    fields: burnDayFields(publishedBurnDay),
    formulas: [burnEffortFormula],
    defer:
      'The signed burn plan says how many people a burn needs, and the burn boss whether they are enough.',
    results: (value) => {
      const parts = publishedBurnDay.map((_, at) => ({
        people: value(`people${at + 1}`),
        hours: value(`hours${at + 1}`),
      }));
      const hours = personHoursOf(parts);
      return [
        line('Effort', `${number(hours)} person-hours`),
        line('By the acre', `${number(hours / value('burnAcres'), 2)} person-hours an acre`),
      ];
    },
  },
  {
    key: 'weather',
    title: 'Humidity by rules of thumb',
    fields: jobFigureFields.weather,
    formulas: [halvesFormula, roughFuelFormula, spotFormula],
    defer: 'Hints only: what is measured on the ground and the signed burn plan come first.',
    results: (value) => {
      const later = humidityAfterWarming(value('humidity'), value('warming'));
      return [
        line('Humidity after the warming', `about ${number(later, 0)} %`),
        line('Fine dead fuel then', `about ${number(roughFineFuelPercent(later))} % moisture`),
        line(
          'Burns with spot fires in one study at such humidity',
          `${number(spottedPercent(later))} %`,
        ),
      ];
    },
  },
];

function sectionOf(kind: Kind, query: Query): FigureSection {
  const read = new Map(kind.fields.map((field) => [field.name, figureIn(query, field)]));
  const known = (name: string) => read.get(name)?.value ?? null;
  const problems = [...read.values()].flatMap(({ problem }) => (problem === '' ? [] : [problem]));
  return {
    key: kind.key,
    title: kind.title,
    fields: kind.fields.map(({ name, label, start, isOptional }) => ({
      name,
      label,
      value: query[name] ?? start,
      isOptional: isOptional ?? false,
    })),
    // Numbers are there once nothing is wrong: only those that may be blank are not.
    results: problems.length > 0 ? [] : kind.results((name) => known(name) ?? 0, known),
    hasRules: kind.formulas.length === 0,
    problems,
    formulas: kind.formulas.map((one) => ({ formula: one.formula, source: sourceWords(one) })),
    defer: kind.defer,
  };
}

/** What the page of job figures shows for the numbers in its address. */
export function jobFiguresPage(deps: Deps, query: Query): JobFiguresPage {
  return {
    shell: shellOf(deps, 'more', 'What does the job come to?'),
    sections: kinds.map((kind) => sectionOf(kind, query)),
  };
}

/** The form that helps with a treatment, if any. */
export function jobFigurePath(treatmentKey: string): string | null {
  const key = sectionByTreatment[treatmentKey];
  return key ? `/job-figures#${key}` : null;
}

const sectionByTreatment: Record<string, string> = {
  'strip-disking': 'machine',
  mowing: 'machine',
  'line-mow': 'machine',
  'line-upkeep': 'machine',
  'native-seeding': 'seed',
  'food-plot': 'seed',
  'line-build': 'width',
  'line-second-pass': 'line',
  blackline: 'width',
  'hack-and-squirt': 'hack',
  'dormant-burn': 'effort',
  'late-season-burn': 'effort',
  'early-growing-season-burn': 'effort',
};
