/** A number of a job-figures form: its name in the address, what it is, and a start to change. */
export interface FigureField {
  name: string;
  label: string;
  start: string;
  least: number;
  most: number;
  /** May be left blank: then what hangs on it is not told. */
  isOptional?: boolean;
}

const field = (
  name: string,
  label: string,
  start: number | '',
  least: number,
  most: number,
): FigureField => ({
  name,
  label,
  start: String(start),
  least,
  most,
  ...(start === '' ? { isOptional: true } : {}),
});

/** Most parts of a burn day that its form holds. */
export const burnDayParts = 6;

/** Fields of each form, by its name; the starts are the published examples. */
export const jobFigureFields = {
  machine: [
    field('mph', 'Speed, miles an hour', 5, 0.1, 60),
    field('feet', 'Width, feet', 10, 0.5, 200),
    field('efficiency', 'Field efficiency, percent', 63, 1, 100),
    field('acres', 'Acres of the job', 10, 0.01, 100_000),
  ],
  seed: [
    field('purity', 'Purity, percent', 85, 1, 100),
    field('germination', 'Germination, percent', 75, 1, 100),
    field('pounds', 'Pure live seed, pounds an acre', 8, 0.01, 1000),
    field('seedAcres', 'Acres to seed', 10, 0.01, 100_000),
  ],
  width: [
    {
      ...field('fuelHeight', 'Height of the fuel beside the line, feet', 6, 0.1, 100),
      isOptional: true,
    },
    field('flameLength', 'Expected flame length, feet', '', 0.1, 200),
    field('flameHeight', 'Expected flame height, feet', '', 0.1, 200),
  ],
  line: [
    field('lineFeet', 'Line, feet', 1800, 1, 1_000_000),
    field('crewRate', 'One crew, feet an hour', 900, 1, 100_000),
    field('crewPeople', 'People of a crew', 15, 1, 100),
    field('crews', 'Crews', 1, 1, 20),
  ],
  hack: [
    field('stems', 'Stems an acre', 150, 1, 10_000),
    field('dbh', 'Diameter at breast height, inches', 6, 0.1, 60),
    field('hackAcres', 'Acres to treat', 5, 0.01, 100_000),
  ],
  weather: [
    field('humidity', 'Humidity now, percent', 40, 1, 100),
    field('warming', 'Warming until the afternoon, °F', 20, -60, 60),
  ],
} as const satisfies Record<string, readonly FigureField[]>;

/** People and hours of each part of a burn day, and the acres. */
export function burnDayFields(parts: readonly { people: number; hours: number }[]): FigureField[] {
  const rows = Array.from({ length: burnDayParts }, (_, at) => {
    const { people, hours } = parts[at] ?? { people: 0, hours: 0 };
    return [
      field(`people${at + 1}`, `Part ${at + 1}, people`, people, 0, 200),
      field(`hours${at + 1}`, `Part ${at + 1}, hours`, hours, 0, 48),
    ];
  });
  return [...rows.flat(), field('burnAcres', 'Acres of the burn', 26, 0.01, 100_000)];
}

/** What was typed for a field: its number, null for a blank that may be, or what is wrong with it. */
export function figureIn(
  query: Record<string, string | undefined>,
  { name, label, start, least, most, isOptional }: FigureField,
): { value: number | null; problem: string } {
  const text = (query[name] ?? start).trim();
  if (text === '' && isOptional) return { value: null, problem: '' };
  const value = Number(text);
  const isNumber = /^-?(\d+\.?\d*|\.\d+)$/.test(text);
  if (!isNumber)
    return { value: null, problem: `${label}: write a number, such as ${start || '4'}.` };
  if (value < least) return { value: null, problem: `${label}: write ${least} or more.` };
  if (value > most) return { value: null, problem: `${label}: write ${most} or less.` };
  return { value, problem: '' };
}
