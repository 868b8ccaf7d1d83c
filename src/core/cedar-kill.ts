/** What a surface fire through grass does to standing redcedar. */
export type CedarKill = 'killed' | 'about-60-percent' | 'uncertain' | 'cut-it';

/**
 * What to expect of a fire through grass, by the height of the cedar in feet and the fine fuel in pounds an acre (null =
 * not known). Under 1 foot almost any fire kills. From 1 to 5 feet: killed with more than 4,000 lb an acre, about 60 % at
 * 2,000 and no better below; in between, and up to 6 feet, nobody can tell. From 6 feet on, cut it: fire does not reach
 * it. Oklahoma State University NREM-5053; University of Nebraska EC186. Actual kill hangs on the flame, so it is recorded.
 */
export function expectedCedarKill(
  heightFeet: number,
  fineFuelPoundsAcre: number | null,
): CedarKill {
  if (heightFeet < 1) return 'killed';
  if (heightFeet >= 6) return 'cut-it';
  if (heightFeet > 5 || fineFuelPoundsAcre === null) return 'uncertain';
  if (fineFuelPoundsAcre > 4000) return 'killed';
  return fineFuelPoundsAcre > 2000 ? 'uncertain' : 'about-60-percent';
}
