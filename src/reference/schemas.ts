import Type, { type TSchema } from 'typebox';
import { lineKinds } from '../core/lines.ts';
import { readinessKeys } from '../core/readiness-items.ts';
import { anchorNames } from '../core/seasons.ts';
import { families } from '../core/treatments.ts';
import { densityClasses } from '../core/units.ts';

const strict = { additionalProperties: false };
const object = <P extends Record<string, TSchema>>(properties: P) =>
  Type.Object(properties, strict);
const words = (names: readonly string[]) => Type.Union(names.map((name) => Type.Literal(name)));
const orNull = <S extends TSchema>(schema: S) => Type.Union([schema, Type.Null()]);

const key = Type.String({ pattern: '^[a-z0-9]+(-[a-z0-9]+)*$' });
const text = Type.String();
const sentence = Type.String({ minLength: 1 });
const count = Type.Integer({ minimum: 0 });
const positive = Type.Number({ exclusiveMinimum: 0 });
const monthDay = Type.String({ pattern: '^\\d{2}-\\d{2}$' });
const isoDate = Type.String({ pattern: '^\\d{4}-\\d{2}-\\d{2}$' });

const status = words(['published', 'common-practice', 'default-to-edit']);
const source = { status, source: sentence };

const ends = Type.Module({
  End: Type.Union([
    object({ at: monthDay }),
    object({ anchor: words(anchorNames), plusDays: Type.Integer() }),
    object({ earlierOf: Type.Tuple([Type.Ref('End'), Type.Ref('End')]) }),
    object({ laterOf: Type.Tuple([Type.Ref('End'), Type.Ref('End')]) }),
  ]),
});
const seasonalWindow = object({ opens: ends.End, closes: ends.End });

const amountByDensity = object(
  Object.fromEntries(densityClasses.map((name) => [name, positive])) as Record<string, TSchema>,
);

const treatment = object({
  key,
  name: sentence,
  family: words(families),
  purpose: sentence,
  region: words(['OZ', 'GP', 'UM', 'MS']),
  scope: words(['unit', 'block', 'property']),
  windows: Type.Array(seasonalWindow, { minItems: 1 }),
  windowSource: object(source),
  rate: object({
    ...source,
    basis: words(['acre', 'line-foot', 'point', 'fixed']),
    per: words(['person-day', 'machine-hour', 'crew-day']),
    amount: Type.Union([positive, amountByDensity]),
  }),
  duration: words(['spread', 'one-day', 'run']),
  peopleLeast: Type.Integer({ minimum: 1 }),
  skills: Type.Array(key),
  gear: Type.Array(key),
  kit: text,
  prescriptionKey: orNull(key),
  stemInchesMost: orNull(positive),
  speciesGroups: Type.Array(key),
  cautionKeys: Type.Array(key),
  regionNotes: text,
  ...source,
});

const community = object({
  key,
  name: sentence,
  interval: orNull(object({ leastYears: positive, targetYears: positive, mostYears: positive })),
  prescriptionKey: orNull(key),
  ...source,
});

const lagLength = object({
  days: Type.Optional(count),
  growingSeasons: Type.Optional(count),
  burningSeasons: Type.Optional(count),
  years: Type.Optional(count),
});

const lag = object({
  afterStepKey: key,
  cycle: words(['same', 'previous']),
  kind: words(['fixed', 'rotation']),
  least: lagLength,
  target: orNull(lagLength),
  most: orNull(lagLength),
  mostIsHard: Type.Boolean(),
  link: words(['needs', 'both']),
});

const step = object({
  key,
  name: sentence,
  treatmentKeys: Type.Array(key, { minItems: 1 }),
  cycles: words(['first', 'later', 'every']),
  lags: Type.Array(lag),
  tiedTo: orNull(key),
  tiedDays: Type.Integer(),
  shareOfAcres: Type.Number({ exclusiveMinimum: 0, maximum: 1 }),
  note: text,
});

const sequence = object({
  key,
  name: sentence,
  purpose: sentence,
  phase: words(['restoration', 'maintenance', 'none']),
  rotation: orNull(
    object({
      phase: words(['restoration', 'maintenance']),
      leastSeasons: Type.Integer({ minimum: 1 }),
      targetYears: positive,
      mostYears: positive,
    }),
  ),
  partsCount: Type.Integer({ minimum: 1, maximum: 8 }),
  repeat: object({ kind: words(['rotation', 'years', 'none']), stepKey: key, years: count }),
  steps: Type.Array(step, { minItems: 1 }),
  ...source,
});

const noWork = object({
  key,
  name: sentence,
  state: orNull(Type.String({ pattern: '^[A-Z]{2}$' })),
  propertyId: Type.Null(),
  reason: sentence,
  authority: words(['law', 'contract', 'owner', 'own-rule']),
  firmness: words(['hard', 'ask-first']),
  opens: ends.End,
  closes: ends.End,
  asOf: sentence,
  applies: object({
    families: orNull(Type.Array(words(families), { minItems: 1 })),
    treatmentKeys: orNull(Type.Array(key, { minItems: 1 })),
    unitTags: Type.Array(key),
    stemInchesOver: orNull(positive),
    speciesGroups: Type.Array(key),
    contractFrom: orNull(isoDate),
    contractTo: orNull(isoDate),
  }),
  ...source,
});

const limits = object({ least: orNull(Type.Number()), most: orNull(Type.Number()) });
const hour = Type.Integer({ minimum: 0, maximum: 23 });

const prescription = object({
  key,
  name: sentence,
  use: words(['work', 'check']),
  temperatureF: limits,
  rhPercent: limits,
  windMph: limits,
  fromHour: hour,
  toHour: hour,
  hoursInRow: Type.Integer({ minimum: 1, maximum: 24 }),
  dryDaysBefore: count,
  wettingRainInches: positive,
  rainEndsRun: Type.Boolean(),
  missingRain: words(['dry', 'unknown']),
  note: text,
  ...source,
});

const byMonth = (figure: TSchema) => Type.Array(figure, { minItems: 12, maxItems: 12 });
const points = Type.Integer({ minimum: 0, maximum: 30 });

const referenceMoisture = object({
  key,
  name: sentence,
  temperatureFLeast: Type.Integer(),
  percentByRh: Type.Array(points, { minItems: 21, maxItems: 21 }),
  ...source,
});

const moistureCorrection = object({
  key,
  name: sentence,
  months: Type.Array(Type.Integer({ minimum: 1, maximum: 12 }), { minItems: 1 }),
  shade: words(['exposed', 'shaded']),
  aspect: words(['N', 'E', 'S', 'W']),
  slope: words(['gentle', 'steep', 'any']),
  addByTime: Type.Array(Type.Tuple([points, points, points]), { minItems: 6, maxItems: 6 }),
  ...source,
});

const dryingDays = object({
  key,
  name: sentence,
  fuel: words(['grass', 'litter']),
  exposure: words(['sunny', 'level', 'shady']),
  daysByMonth: byMonth(count),
  denseCanopyDays: count,
  heavyRainDays: count,
  ...source,
});

const leafOutModel = object({
  key,
  name: sentence,
  baseC: Type.Number(),
  fromDayOfYear: Type.Integer({ minimum: 1, maximum: 180 }),
  threshold: positive,
  dayLengthPower: Type.Number({ minimum: 0 }),
  errorDays: positive,
  afterRedOakDays: Type.Number(),
  ...source,
});

const notNegative = Type.Number({ minimum: 0 });

const fuelModel = object({
  key,
  name: sentence,
  oneHourTonsAcre: notNegative,
  tenHourTonsAcre: notNegative,
  hundredHourTonsAcre: notNegative,
  herbTonsAcre: notNegative,
  woodyTonsAcre: notNegative,
  oneHourSurface: positive,
  herbSurface: positive,
  woodySurface: positive,
  depthFeet: positive,
  moistureOfExtinctionPercent: positive,
  heatBtuLb: positive,
  isDynamic: Type.Boolean(),
  ...source,
});

const lineKind = object({
  key: words(lineKinds),
  name: sentence,
  needsWork: Type.Boolean(),
  goodForDays: orNull(Type.Integer({ minimum: 1, maximum: 3660 })),
  staleOn: Type.Array(words(anchorNames)),
  ...source,
});

const instruction = object({
  key,
  steps: Type.Array(sentence, { minItems: 1, maxItems: 6 }),
  ...source,
});

const burnListRow = object({ key, list: words(['briefing', 'patrol']), text: sentence, ...source });

const stepLead = object({
  months: Type.Optional(count),
  days: Type.Optional(count),
  hours: Type.Optional(count),
});
const yearSpan = object({ opens: monthDay, closes: monthDay });
const stateCode = Type.String({ pattern: '^[A-Z]{2}$' });

const burnStep = object({
  key,
  name: sentence,
  countedFrom: words(['span', 'called-day']),
  opens: stepLead,
  due: stepLead,
  isHard: Type.Boolean(),
  goodForDays: count,
  isAfterFire: Type.Boolean(),
  readiness: orNull(words(readinessKeys)),
  answeredBy: orNull(words([...readinessKeys, 'planned', 'contract'])),
  toWhom: text,
  states: orNull(Type.Array(stateCode, { minItems: 1 })),
  season: orNull(yearSpan),
  onlyIf: text,
  note: text,
  asOf: sentence,
  ...source,
});

const dayHour = Type.Integer({ minimum: 0, maximum: 24 });
const stateRule = object({
  key,
  name: sentence,
  state: stateCode,
  text: sentence,
  terms: Type.Union([
    object({ kind: Type.Literal('statement') }),
    object({
      kind: Type.Literal('permit'),
      season: orNull(yearSpan),
      withinFeet: orNull(positive),
      acresOver: orNull(positive),
    }),
    object({
      kind: Type.Literal('barred-hours'),
      seasons: Type.Array(yearSpan, { minItems: 1 }),
      fromHour: dayHour,
      untilHour: dayHour,
      withinFeet: positive,
      isLiftedBySnow: Type.Boolean(),
    }),
    object({
      kind: Type.Literal('notice'),
      season: orNull(yearSpan),
      earliestHours: orNull(count),
      latestHours: orNull(count),
    }),
  ]),
  onlyWhere: text,
  asOf: sentence,
  checkWith: sentence,
  ...source,
});

/** Shape of one row of each table of `shared/`, by the file it lies in; unknown fields are refused. */
export const rowSchemas = {
  'treatments.json': treatment,
  'communities.json': community,
  'sequences.json': sequence,
  'no-work.json': noWork,
  'cautions.json': object({ key, text: sentence, deferTo: sentence, ...source }),
  'prescriptions.json': prescription,
  'line-kinds.json': lineKind,
  'burn-steps.json': burnStep,
  'state-rules.json': stateRule,
  'follow-ups.json': object({
    key,
    treatmentKey: key,
    afterDaysLeast: count,
    afterDaysMost: count,
    isOnlyInSequence: Type.Boolean(),
    ...source,
  }),
  'instructions.json': instruction,
  'plan-elements.json': object({ key, name: sentence, question: sentence, ...source }),
  'burn-lists.json': burnListRow,
  'fit-day-defaults.json': object({
    prescriptionKey: key,
    monthly: Type.Array(Type.Number({ minimum: 0, maximum: 31 }), { minItems: 12, maxItems: 12 }),
    ...source,
  }),
  'fine-fuel-moisture.json': referenceMoisture,
  'fine-fuel-corrections.json': moistureCorrection,
  'drying-days.json': dryingDays,
  'leaf-out-models.json': leafOutModel,
  'fuel-models.json': fuelModel,
  'yardsticks.json': object({
    key,
    name: sentence,
    series: key,
    low: notNegative,
    high: positive,
    unit: sentence,
    note: sentence,
    ...source,
  }),
} as const satisfies Record<string, TSchema>;

export type TableFile = keyof typeof rowSchemas;
