import {
  alongside,
  boundingBox,
  lengthOf,
  metersPerFoot,
  middleOf,
  type Position,
  polygonsOf,
  projectToFeet,
  type Segment,
  segmentIndex,
} from './geometry.ts';
import type { Boundary } from './units.ts';

/** A mapped place with its number. */
export interface MappedPlace {
  id: number;
  boundary: Boundary;
}

/** An edge that one place has to itself, or that two share, with its course. */
export interface Edge {
  /** One number for an outer edge, two (lower first) for a shared one. */
  ids: number[];
  feet: number;
  path: Position[][];
}

/** Gap up to which two edges are one (a lane, a creek), and the least length of an edge. Our own judgement. */
const toleranceFeet = 10 / metersPerFoot;
const leastFeet = 20 / metersPerFoot;

interface CourseSegment extends Segment {
  ring: number;
  start: Position;
  end: Position;
}

type Span = [number, number];

function courseSegments(places: readonly MappedPlace[]): CourseSegment[] {
  const boxes = places.map((place) => boundingBox(place.boundary));
  const project = projectToFeet(
    middleOf({
      west: Math.min(...boxes.map((box) => box.west)),
      south: Math.min(...boxes.map((box) => box.south)),
      east: Math.max(...boxes.map((box) => box.east)),
      north: Math.max(...boxes.map((box) => box.north)),
    }),
  );
  let ring = 0;
  return places.flatMap((place, owner) =>
    polygonsOf(place.boundary)
      .flat()
      .flatMap((positions) => {
        ring += 1;
        return positions.slice(1).flatMap((end, at): CourseSegment[] => {
          const start = positions[at]!;
          const one = { owner, at, ring, start, end, from: project(start), to: project(end) };
          return lengthOf(one) > 0 ? [one] : [];
        });
      }),
  );
}

function joined(spans: readonly Span[]): Span[] {
  const out: Span[] = [];
  for (const [from, to] of spans.toSorted((a, b) => a[0] - b[0])) {
    const last = out.at(-1);
    if (last && from <= last[1]) last[1] = Math.max(last[1], to);
    else out.push([from, to]);
  }
  return out;
}

function lengthIn(spans: readonly Span[]): number {
  return spans.reduce((sum, [from, to]) => sum + to - from, 0);
}

/** What is left of a segment of `length` without the spans; crumbs under a foot are dropped. */
function gapsIn(spans: readonly Span[], length: number): Span[] {
  const gaps: Span[] = [];
  let at = 0;
  for (const [from, to] of [...joined(spans), [length, length] as Span]) {
    if (from - at >= 1) gaps.push([at, from]);
    at = Math.max(at, to);
  }
  return gaps;
}

/** The projection is a plain scale, so a place along an edge divides its degrees alike. */
function positionAt({ start, end }: CourseSegment, share: number): Position {
  const between = (a: number, b: number) => Math.round((a + (b - a) * share) * 1e7) / 1e7;
  return [between(start[0], end[0]), between(start[1], end[1])];
}

interface Piece {
  segment: CourseSegment;
  span: Span;
}

/** Pieces that follow each other become one stretch, also around the start of a ring. */
function stretchesOf(pieces: readonly Piece[]): Position[][] {
  const stretches: { ring: number; path: Position[] }[] = [];
  const isSame = (a: Position | undefined, b: Position | undefined) =>
    a !== undefined && b !== undefined && a[0] === b[0] && a[1] === b[1];
  for (const { segment, span } of pieces) {
    const length = lengthOf(segment);
    const [from, to] = span.map((feet) => positionAt(segment, feet / length)) as [
      Position,
      Position,
    ];
    const last = stretches.at(-1);
    if (last && last.ring === segment.ring && isSame(last.path.at(-1), from)) last.path.push(to);
    else stretches.push({ ring: segment.ring, path: [from, to] });
  }
  for (const one of stretches) {
    const before = stretches.find(
      (other) => other !== one && other.ring === one.ring && isSame(other.path.at(-1), one.path[0]),
    );
    if (!before) continue;
    before.path.push(...one.path.slice(1));
    one.path = [];
  }
  return stretches.map(({ path }) => path).filter((path) => path.length > 0);
}

/** Spans of each segment along which another place runs, by the other's place in the list. */
function spansAlong(segments: readonly CourseSegment[]): Map<number, Span[]>[] {
  const near = segmentIndex(segments, toleranceFeet);
  return segments.map((one) => {
    const byOther = new Map<number, Span[]>();
    for (const other of near(one)) {
      if (other.owner === one.owner) continue;
      const span = alongside(one, other, toleranceFeet);
      if (span) byOther.set(other.owner, [...(byOther.get(other.owner) ?? []), span]);
    }
    for (const [owner, spans] of byOther) byOther.set(owner, joined(spans));
    return byOther;
  });
}

/**
 * Every edge between two places and every outer edge, with its course and its length in feet: of a shared edge the
 * mean of both sides' own lengths (its course is that of the first place), of an outer one what no other place runs
 * along. Gaps up to 10 m count as shared; edges under 20 m in all are left out, as in `sharedEdges`. Lengths on the
 * local plane of `projectToFeet`. In order of the list.
 */
export function edgesOf(places: readonly MappedPlace[]): Edge[] {
  if (places.length === 0) return [];
  const segments = courseSegments(places);
  const along = spansAlong(segments);
  const shared = new Map<string, { ids: [number, number]; feet: number; pieces: Piece[] }>();
  segments.forEach((segment, at) => {
    for (const [other, spans] of along[at]!) {
      const pair: [number, number] = [
        Math.min(segment.owner, other),
        Math.max(segment.owner, other),
      ];
      const held = shared.get(pair.join(' ')) ?? { ids: pair, feet: 0, pieces: [] };
      held.feet += lengthIn(spans) / 2;
      if (segment.owner === pair[0])
        held.pieces.push(...spans.map((span): Piece => ({ segment, span })));
      shared.set(pair.join(' '), held);
    }
  });
  const edges = [...shared.values()].filter(({ feet }) => feet >= leastFeet);
  const isEdge = new Set(edges.map(({ ids }) => ids.join(' ')));
  const outer = places.map((_, owner) => {
    const pieces = segments.flatMap((segment, at): Piece[] => {
      if (segment.owner !== owner) return [];
      const taken = [...along[at]!]
        .filter(([other]) => isEdge.has(`${Math.min(owner, other)} ${Math.max(owner, other)}`))
        .flatMap(([, spans]) => spans);
      return gapsIn(taken, lengthOf(segment)).map((span) => ({ segment, span }));
    });
    return { ids: [owner], feet: lengthIn(pieces.map(({ span }) => span)), pieces };
  });
  return [...edges.toSorted((a, b) => a.ids[0] - b.ids[0] || a.ids[1] - b.ids[1]), ...outer]
    .filter(({ feet }) => feet >= leastFeet)
    .map(({ ids, feet, pieces }) => ({
      ids: ids.map((owner) => places[owner]!.id),
      feet,
      path: stretchesOf(pieces),
    }));
}
