import { noBurnLimits, windSectors } from '../../src/core/blocks.ts';
import { isLeapYear, monthDay } from '../../src/core/dates.ts';
import type { BlockConditions } from '../../src/core/weather/fit-days.ts';
import type { WeatherYear } from '../../src/core/weather/history.ts';
import { countSite, siteCounter } from '../../src/core/weather/site-fit-days.ts';
import { siteClassOf, siteKeyOf } from '../../src/core/weather/sites.ts';
import { loadLibrary } from '../../src/reference/library.ts';

// Run by hand: fit days of 300 blocks by ten years of hours; prints, asserts nothing of time.
const { prescriptions, weatherTables: tables } = loadLibrary();
const litter = prescriptions.find((one) => one.key === 'hardwood-litter');
if (!litter) throw new Error('no prescription');

let seed = 7;
const draw = (below: number): number => {
  seed = (seed * 48271) % 2147483647;
  return seed % below;
};

/** Made-up hours that swing through and out of the limits. */
function madeUpYear(year: number): WeatherYear {
  const hours = (isLeapYear(year) ? 366 : 365) * 24;
  const column = (value: () => number) => Int16Array.from({ length: hours }, value);
  return {
    year,
    temperatureC10: column(() => 50 + draw(200)),
    dewPointC10: column(() => draw(60)),
    windMs10: column(() => 20 + draw(50)),
    windDirectionDegrees: column(() => draw(36) * 10),
    rainMm10: column(() => (draw(60) === 0 ? 20 : 0)),
  };
}

const aspects = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW', null] as const;
const blocks = Array.from({ length: 300 }, (): BlockConditions => {
  const from = draw(8);
  const windFrom = draw(2) === 0 ? null : windSectors.slice(from, from + 3);
  return {
    limits: { ...noBurnLimits, windFrom },
    site: {
      aspect: aspects[draw(9)] ?? null,
      slopePercent: draw(40),
      canopyPercent: draw(100),
      fuel: draw(2) === 0 ? 'grass' : 'litter',
    },
    leafOut: monthDay('04-12'),
    leafFall: monthDay('11-01'),
    latitude: 37,
    longitude: -92,
  };
});

const years = Array.from({ length: 10 }, (_, at) => madeUpYear(2011 + at));
const started = performance.now();
const counter = siteCounter(years, [], { standardOffsetMinutes: -360 });
const kinds = new Map(blocks.map((block) => [siteKeyOf(litter, block), block]));
let longestMs = 0;
for (const block of kinds.values()) {
  const from = performance.now();
  countSite(counter, { prescription: litter, block: siteClassOf(litter, block), tables });
  longestMs = Math.max(longestMs, performance.now() - from);
}
const seconds = (performance.now() - started) / 1000;
process.stdout.write(
  `${blocks.length} blocks of ${kinds.size} kinds, ${years.length} years: ${seconds.toFixed(1)} s, longest kind ${longestMs.toFixed(0)} ms\n`,
);
