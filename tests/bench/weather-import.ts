import { openOperationFile } from '../../src/cli/operation-file.ts';
import { importSteps } from '../../src/cli/weather-import.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { sampleStation, sampleWeather } from '../../src/core/sample/weather.ts';
import { ghcnDailySteps } from '../../src/exchange/ghcn-daily.ts';
import { isdLiteSteps } from '../../src/exchange/isd-lite.ts';
import { weatherCsvSteps } from '../../src/exchange/weather-csv.ts';
import { readToEnd, type WeatherReading } from '../../src/exchange/weather-file.ts';

// Run by hand: npx tsx tests/bench/weather-import.ts. Prints how long ten years of hours take to read, and the longest
// time for which one step holds up the answers to pages; the aim is under 5 s for the whole import.
const sample = sampleWeather(isoDate('2026-01-01'));
const [years, days] = [sample.years.slice(-10), sample.days];
const two = (value: number) => String(value).padStart(2, '0');
const isd: string[] = [];
const csv = ['time,temperature_c,dew_point_c,wind_ms,gust_ms,wind_from_degrees,rain_mm'];
for (const year of years)
  for (let hour = 0; hour < year.windMs10.length; hour++) {
    const at = new Date(Date.UTC(year.year, 0, 1, hour));
    const [month, day] = [two(at.getUTCMonth() + 1), two(at.getUTCDate())];
    const [t, td, wind] = [
      year.temperatureC10[hour]!,
      year.dewPointC10[hour]!,
      year.windMs10[hour]!,
    ];
    const from = year.windDirectionDegrees[hour]!;
    isd.push(
      `${year.year} ${month} ${day} ${two(at.getUTCHours())} ${t} ${td} 10141 ${from} ${wind} 0 ${year.rainMm10[hour]} -9999`,
    );
    csv.push(
      `${year.year}-${month}-${day} ${two(at.getUTCHours())}:00,${t / 10},${td / 10},${wind / 10},${year.gustMs10![hour]! / 10},${from},`,
    );
  }
const ghcn = days.flatMap((year) =>
  [...year.highC10].map((high, day) => {
    const date = new Date(Date.UTC(year.year, 0, 1 + day))
      .toISOString()
      .slice(0, 10)
      .replaceAll('-', '');
    return `TST00000001,${date},TMAX,${high},,,W,2400`;
  }),
);
const bytesOf = (rows: readonly string[]) => new TextEncoder().encode(rows.join('\n'));

function time(
  name: string,
  rows: readonly string[],
  read: (bytes: Uint8Array) => Generator<number, WeatherReading>,
): void {
  const bytes = bytesOf(rows);
  const began = performance.now();
  const { report } = readToEnd(read(bytes));
  const seconds = (performance.now() - began) / 1000;
  console.log(
    `${name}: ${report.rowsTaken} of ${rows.length} rows in ${seconds.toFixed(2)} s, ${(5 / seconds).toFixed(0)} times the aim of 5 s`,
  );
}

time('ISD-Lite', isd, (bytes) => isdLiteSteps('hours.txt', bytes));
time('plain CSV in UTC', csv, (bytes) =>
  weatherCsvSteps(bytes, { timeZone: 'UTC', clock: 'utc', windHeight: '10-m' }),
);
time('plain CSV in local time', csv, (bytes) =>
  weatherCsvSteps(bytes, { timeZone: 'America/Chicago', clock: 'local', windHeight: '10-m' }),
);
time('GHCN-Daily', ghcn, (bytes) => ghcnDailySteps(bytes, null));

const today = isoDate('2026-11-25');
const file = openOperationFile(':memory:', today);
file.store.replaceLand(sampleLand(today));
const order = {
  station: sampleStation,
  fileName: 'hours.txt',
  bytes: bytesOf(isd),
  format: 'auto',
  clock: 'utc',
  windHeight: '10-m',
} as const;
const began = performance.now();
let [longest, before] = [0, began];
for (const _share of importSteps(file, order)) {
  const now = performance.now();
  longest = Math.max(longest, now - before);
  before = now;
}
const seconds = (performance.now() - began) / 1000;
console.log(
  `whole import of ISD-Lite, saved and counted: ${seconds.toFixed(2)} s; longest step ${longest.toFixed(0)} ms`,
);
file.close();
