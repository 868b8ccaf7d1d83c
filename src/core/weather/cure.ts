import { woodEquilibriumPercent } from './fine-fuel.ts';
import { rainHours } from './heavy-fuel.ts';

/** Weather of one day since felling; null = not known. */
export interface CureDay {
  rhMeanPercent: number | null;
  temperatureMeanF: number | null;
  rainInches: number | null;
}

/** Said wherever a drying estimate shows. */
export const noCedarData =
  'No measurements of how felled redcedar dries were found. This estimate borrows the timelag of dead wood.';
export const fieldCheckDecides =
  'The field check decides: limbs a quarter to half an inch thick break clean when bent, with the needles on or off.';

/** Moisture of fresh wood that an estimate starts from, percent of dry weight: a default to edit. */
export const freshWoodPercent = 80;
/** Limbs at or under this count as cured: a default to edit. */
export const curedLimbPercent = 20;

/**
 * Hours in which a round of wood loses 63 percent of the way to equilibrium: 40 d² (inches), by analogy with the
 * half-inch 10-hour stick (response goes with the radius squared, Fosberg 1970); derived for this project, not published.
 */
export function timelagHours(diameterInches: number): number {
  return 40 * diameterInches ** 2;
}

/**
 * Moisture of a felled limb or stem at the end of each day since felling, percent of dry weight, by diameter. Equilibrium
 * by the Wood Handbook equation; hours of rain pull toward 76 + 2.7 percent an hour, as for 1000-hour fuel. A day
 * that lacks a reading leaves the moisture unchanged, and is counted: rain not known is not taken for none. An analogue:
 * show `noCedarData` and `fieldCheckDecides` beside it.
 */
export function dryingEstimate(
  days: readonly CureDay[],
  diameterInches: number,
  startPercent = freshWoodPercent,
): { percentByDay: number[]; unknownDays: number } {
  const share = 1 - Math.exp(-24 / timelagHours(diameterInches));
  let moisture = startPercent;
  let unknownDays = 0;
  const percentByDay = days.map(({ rhMeanPercent, temperatureMeanF, rainInches }) => {
    if (rhMeanPercent === null || temperatureMeanF === null || rainInches === null) {
      unknownDays += 1;
      return moisture;
    }
    // At 100 percent humidity the sorption equation reaches fiber saturation; fog does not wet wood beyond it.
    const dry = woodEquilibriumPercent(temperatureMeanF, Math.min(98, rhMeanPercent));
    const wet = rainHours(rainInches);
    const equilibrium = ((24 - wet) * dry + wet * (2.7 * wet + 76)) / 24;
    moisture += (equilibrium - moisture) * share;
    return moisture;
  });
  return { percentByDay, unknownDays };
}
