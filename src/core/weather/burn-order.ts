/** What speaks for a block on a day on which several are fit. */
export interface BurnClaim {
  key: string;
  /** Days a season on which its wind and fuel are fit, inside its window; null = not counted. */
  fitDaysASeason: number | null;
  /** Days until its window or its use-by shuts; null = not known. */
  closesInDays: number | null;
  isOverdue: boolean;
  /** Things missing from its readiness row. */
  missingCount: number;
  hasBlackNeighbour: boolean;
  /** Day number on which the plan wants it first. */
  plannedFrom: number;
}

/** Below this a block's days are rare, and a window this near shuts soon. Common practice, no source. */
export const rareDaysASeason = 8;
export const shutsSoonDays = 21;

const isRare = (claim: BurnClaim) =>
  claim.fitDaysASeason !== null && claim.fitDaysASeason < rareDaysASeason;
const shutsSoon = (claim: BurnClaim) =>
  claim.closesInDays !== null && claim.closesInDays <= shutsSoonDays;

/**
 * Order of blocks on a day, first to be lit first: what is ready; the rarity of its days (its wind sectors and the
 * drying of its aspect are in that count); its window or use-by; overdue; a black neighbour; then the plan's order.
 * The burn boss may reorder.
 */
export function compareClaims(a: BurnClaim, b: BurnClaim): number {
  const flag = (of: (claim: BurnClaim) => boolean) => Number(of(b)) - Number(of(a));
  return (
    flag((claim) => claim.missingCount === 0) ||
    flag(isRare) ||
    flag(shutsSoon) ||
    flag((claim) => claim.isOverdue) ||
    (a.fitDaysASeason ?? 365) - (b.fitDaysASeason ?? 365) ||
    flag((claim) => claim.hasBlackNeighbour) ||
    a.plannedFrom - b.plannedFrom ||
    (a.key < b.key ? -1 : a.key > b.key ? 1 : 0)
  );
}

/** Why a block stands where it does, the strongest reason first; for a screen. */
export function claimWords(claim: BurnClaim): string[] {
  const parts: string[] = [];
  if (claim.fitDaysASeason !== null) {
    const days = Math.round(claim.fitDaysASeason * 10) / 10;
    if (isRare(claim)) parts.push(`its fit days are rare (${days} a season)`);
    else parts.push(`about ${days} fit days a season`);
  }
  if (claim.closesInDays !== null && shutsSoon(claim))
    parts.push(`its window shuts in ${claim.closesInDays} days`);
  if (claim.isOverdue) parts.push('overdue for fire');
  if (claim.hasBlackNeighbour) parts.push('a neighbor is already black');
  if (claim.missingCount > 0) parts.push('not everything is on file');
  return parts;
}
