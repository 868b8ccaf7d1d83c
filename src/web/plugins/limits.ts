/** Requests at once, and a second later on, that one person or address may send. */
export interface RequestLimits {
  pages: { atOnce: number; perSecond: number };
  changes: { atOnce: number; perSecond: number };
}

/** Far above what a person does by hand, far below what would keep a small machine from its work. */
export const requestLimitsDefault: RequestLimits = {
  pages: { atOnce: 400, perSecond: 20 },
  changes: { atOnce: 90, perSecond: 1 },
};

/** People and addresses that are counted; the one that was longest quiet goes first. */
const countedMost = 5000;

/** A bucket for each key that fills by `perSecond` up to `atOnce`: seconds to wait, 0 = go on. */
export function requestLimiter(
  { atOnce, perSecond }: RequestLimits['pages'],
  nowMs: () => number,
): (key: string) => number {
  const buckets = new Map<string, { left: number; at: number }>();
  return (key) => {
    const now = nowMs();
    const known = buckets.get(key) ?? { left: atOnce, at: now };
    const left = Math.min(atOnce, known.left + ((now - known.at) / 1000) * perSecond);
    const isOver = left < 1;
    buckets.delete(key);
    buckets.set(key, { left: isOver ? left : left - 1, at: now });
    if (buckets.size > countedMost) buckets.delete(buckets.keys().next().value ?? '');
    return isOver ? Math.ceil((1 - left) / perSecond) : 0;
  };
}
