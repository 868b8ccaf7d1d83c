import type { MapBox } from './map-shapes.ts';

/** A text that would like to stand at a place of a picture. */
export interface LabelWish {
  x: number;
  y: number;
  text: string;
  /** A second, smaller line. */
  note: string;
  kind: 'code' | 'number' | 'layer';
  /** Is written even where it covers something. */
  isNeeded: boolean;
}

export interface PlacedLabel {
  x: number;
  y: number;
  text: string;
  note: string;
  kind: LabelWish['kind'];
}

interface Taken {
  x: number;
  y: number;
  halfWide: number;
  halfHigh: number;
}

/** Steps from the wished place, nearest first, in parts of the picture. */
const steps = [
  [0, 0],
  [0, -20],
  [0, 20],
  [26, 0],
  [-26, 0],
  [0, -38],
  [0, 38],
  [34, -20],
  [-34, 20],
  [48, 0],
  [-48, 0],
] as const;

const pointHalf = 11;
const letterHalf = 4.2;

function sizeOf({ text, note, kind }: LabelWish): { halfWide: number; halfHigh: number } {
  const letters = Math.max(text.length, note.length * 0.9);
  return {
    halfWide: letters * letterHalf + 3,
    halfHigh: note === '' ? (kind === 'layer' ? 7 : 9) : 16,
  };
}

const overlap = (a: Taken, b: Taken) =>
  Math.abs(a.x - b.x) < a.halfWide + b.halfWide && Math.abs(a.y - b.y) < a.halfHigh + b.halfHigh;

/**
 * Texts at free places near the wished ones, first come first served; what finds none is left out unless it is needed.
 * Signs at `points`, the north arrow and the scale bar count as taken.
 */
export function freeLabels(
  wishes: readonly LabelWish[],
  points: readonly { x: number; y: number }[],
  box: MapBox,
): PlacedLabel[] {
  const taken: Taken[] = points.map(({ x, y }) => ({
    x,
    y,
    halfWide: pointHalf,
    halfHigh: pointHalf,
  }));
  taken.push(
    { x: box.width - 24, y: 36, halfWide: 12, halfHigh: 28 },
    { x: box.width / 5, y: box.height - 14, halfWide: box.width / 5, halfHigh: 12 },
  );
  return wishes.flatMap((wish) => {
    const size = sizeOf(wish);
    const isInside = ({ x, y }: Taken) =>
      x >= size.halfWide &&
      y >= size.halfHigh &&
      x <= box.width - size.halfWide &&
      y <= box.height - size.halfHigh;
    const found = steps
      .map(([dx, dy]) => ({ x: wish.x + dx, y: wish.y + dy, ...size }))
      .find((place) => isInside(place) && !taken.some((one) => overlap(one, place)));
    if (!found && !wish.isNeeded) return [];
    const place = found ?? { x: wish.x, y: wish.y, ...size };
    taken.push(place);
    const round = (value: number) => Math.round(value * 10) / 10;
    const { text, note, kind } = wish;
    return [{ x: round(place.x), y: round(place.y), text, note, kind }];
  });
}
