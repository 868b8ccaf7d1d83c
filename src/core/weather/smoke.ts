/** Square metres a second to knot-feet: 1 foot = 0.3048 m, 1 knot = 1852/3600 m/s, both exact. */
const knotFeetPerM2s = 3600 / 1852 / 0.3048;

/** Ventilation index in m²/s: mixing height times transport wind. */
export function ventilationM2s(mixingHeightMetres: number, transportWindMs: number): number {
  return mixingHeightMetres * transportWindMs;
}

export function knotFeetOf(m2s: number): number {
  return m2s * knotFeetPerM2s;
}

/** A category of smoke dispersal as the user's state or county draws it; nothing is assumed. */
export interface VentilationRule {
  name: string;
  /** Lowest ventilation of the category. */
  leastM2s: number;
  isBurningAllowed: boolean;
  note: string;
}

/** A rule of a state, with its number. */
export interface StateVentilationRule extends VentilationRule {
  id: number;
  state: string;
}

/** The category of a ventilation: the one with the highest floor at or under it; null where no rule reaches it. */
export function ventilationCategory(
  m2s: number,
  rules: readonly VentilationRule[],
): VentilationRule | null {
  let found: VentilationRule | null = null;
  for (const rule of rules)
    if (rule.leastM2s <= m2s && (found === null || rule.leastM2s > found.leastM2s)) found = rule;
  return found;
}

export interface DispersalFinding {
  element: 'mixing height' | 'transport wind' | 'ventilation';
  isInside: boolean;
}

/**
 * Guide to good dispersal, three separate tests: mixing height 1,700 to 6,500 feet, transport wind 9 to 20 mph,
 * ventilation over 6,000 m²/s (read in a prescribed-burn study guide). Local smoke rules come first.
 */
export function dispersalFindings(
  mixingHeightFeet: number,
  transportWindMph: number,
): DispersalFinding[] {
  const m2s = ventilationM2s(mixingHeightFeet * 0.3048, transportWindMph * 0.44704);
  return [
    { element: 'mixing height', isInside: mixingHeightFeet >= 1700 && mixingHeightFeet <= 6500 },
    { element: 'transport wind', isInside: transportWindMph >= 9 && transportWindMph <= 20 },
    { element: 'ventilation', isInside: m2s > 6000 },
  ];
}
