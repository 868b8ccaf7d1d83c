import { type BurnLimits, type WindSector, windSectors } from '../blocks.ts';
import type { FireReading } from '../work-details.ts';
import type { Limits, Prescription } from './prescriptions.ts';

/** One element of a reading against its limits. `not-read` and `no-limit` say nothing of the fire. */
export interface ReadingFinding {
  element: 'temperature' | 'humidity' | 'wind' | 'gust' | 'wind-direction';
  state: 'inside' | 'outside' | 'not-read' | 'no-limit';
  value: number | null;
  limits: Limits;
  /** Sectors that the wind may come from; null for all other elements. */
  windFrom: readonly WindSector[] | null;
}

/** What of a prescription a reading is held against. */
type ReadLimits = Pick<Prescription, 'temperatureF' | 'rhPercent' | 'windMph' | 'gustMph'>;

const noLimits: Limits = { least: null, most: null };

function found(
  element: ReadingFinding['element'],
  value: number | null,
  limits: Limits,
): ReadingFinding {
  const { least, most } = limits;
  const isInside = (read: number) =>
    (least === null || read >= least) && (most === null || read <= most);
  const isLimited = least !== null || most !== null;
  const state = !isLimited
    ? 'no-limit'
    : value === null
      ? 'not-read'
      : isInside(value)
        ? 'inside'
        : 'outside';
  return { element, state, value, limits, windFrom: null };
}

/** The narrower of the prescription's gust limit and the block's own. */
function gustLimits(prescription: ReadLimits, block: Pick<BurnLimits, 'gustMphMost'>): Limits {
  const own = prescription.gustMph ?? noLimits;
  const most = block.gustMphMost;
  if (most === null || (own.most !== null && own.most <= most)) return own;
  return { ...own, most };
}

/**
 * A reading at the fire beside the limits of the prescription and of the block, as it was read: the height of a hand-held meter is
 * not turned into that of the limits. It records; it never says whether to go on.
 */
export function readingAgainst(
  prescription: ReadLimits,
  block: Pick<BurnLimits, 'windFrom' | 'gustMphMost'>,
  reading: FireReading,
): ReadingFinding[] {
  const { windFromDegrees } = reading;
  // Sectors are 45 degrees wide, N from 337.5 to 22.5, as fit days count them.
  const sector =
    windFromDegrees === null ? null : windSectors[Math.round(windFromDegrees / 45) % 8];
  const { windFrom } = block;
  const direction = !windFrom
    ? 'no-limit'
    : !sector
      ? 'not-read'
      : windFrom.includes(sector)
        ? 'inside'
        : 'outside';
  return [
    found('temperature', reading.tempF, prescription.temperatureF),
    found('humidity', reading.rhPercent, prescription.rhPercent),
    found('wind', reading.windMph, prescription.windMph),
    found('gust', reading.gustMph, gustLimits(prescription, block)),
    {
      element: 'wind-direction',
      state: direction,
      value: windFromDegrees,
      limits: noLimits,
      windFrom,
    },
  ];
}
