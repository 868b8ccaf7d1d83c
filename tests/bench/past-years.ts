/** Thirty burns by forty years: `npx tsx tests/bench/past-years.ts`. Prints, asserts nothing of time. */
import { runPastYears } from '../../src/core/weather/past-years.ts';
import { dayOf, pastBurn, pastInput } from '../core/weather/past-burns.ts';

const seasons = Array.from({ length: 40 }, (_, index) => 1980 + index);
const firstDay = dayOf('1980-01-01');
const burns = Array.from({ length: 30 }, (_, index) => {
  const hours = new Uint8Array(41 * 366);
  for (let day = 0; day < hours.length; day++)
    if ((day * 7 + index * 3 + ((day * day) % 11)) % 9 < 2) hours[day] = 4;
  const year = 2027 + (index % 3);
  const span = { from: dayOf(`${year - 1}-11-12`), to: dayOf(`${year}-04-05`) };
  return pastBurn({ firstDay, hours }, seasons.length, {
    key: `burn-${index}`,
    readyFrom: span.from,
    windows: seasons.map(() => span),
  });
});
const until = dayOf('2029-07-01');
const people = Array.from({ length: until - dayOf('2026-07-01') }, (_, day) => ({
  people: day % 7 < 5 ? 7 : 4,
  bosses: 1,
}));
const startedAt = performance.now();
const run = runPastYears(pastInput(burns, seasons, { until, people, usedShare: 0.4 }));
const seconds = (performance.now() - startedAt) / 1000;
const done = run.burns.reduce((sum, burn) => sum + burn.chance.done, 0);
process.stdout.write(
  `${burns.length} burns by ${run.trials} years, ${done} done: ${seconds.toFixed(3)} s\n`,
);
