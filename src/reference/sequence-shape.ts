import type { Sequence, Step } from '../core/sequences.ts';
import type { Treatment } from '../core/treatments.ts';

/** Steps of a cycle: 1 = the first one, 2 = every later one. */
function stepsOf(sequence: Sequence, cycle: 1 | 2): Step[] {
  const other = cycle === 1 ? 'later' : 'first';
  return sequence.steps.filter((step) => step.cycles !== other);
}

/** Pairs of steps of one cycle that hang on each other, by lag or by day. */
function linksOf(steps: readonly Step[]): [string, string][] {
  const keys = new Set(steps.map((step) => step.key));
  return steps.flatMap((step) => {
    const before = step.lags.filter((lag) => lag.cycle === 'same').map((lag) => lag.afterStepKey);
    if (step.tiedTo !== null) before.push(step.tiedTo);
    return before.filter((key) => keys.has(key)).map((key): [string, string] => [key, step.key]);
  });
}

/**
 * Why the links of a cycle are no tree: steps in a ring, or steps that hang on none of the others; null = they are one.
 * Grows parts that hang together link by link; a link inside one part closes a ring.
 */
function treeFault(steps: readonly Step[], links: readonly [string, string][]): string | null {
  const nameOf = (key: string) => steps.find((step) => step.key === key)?.name ?? key;
  const partOf = new Map(steps.map(({ key }) => [key, new Set([key])]));
  for (const [a, b] of links) {
    const [one, other] = [partOf.get(a), partOf.get(b)];
    if (!one || !other) continue;
    if (one === other) {
      if (a === b) return `${nameOf(a)} waits for itself; take that out`;
      const ring = ringOf(a, b, links).map(nameOf);
      return `${list(ring)} hang on each other in a ring; take one of these links out`;
    }
    for (const key of other) partOf.set(key, one.add(key));
  }
  const parts = [...new Set(partOf.values())].sort((a, b) => a.size - b.size);
  const apart = parts.slice(0, -1).flatMap((part) => [...part].map(nameOf));
  if (apart.length === 0) return null;
  return `${list(apart)} ${apart.length === 1 ? 'hangs' : 'hang'} on none of the other steps; give a wait or a day to tie them`;
}

/** The way from `a` to `b` by the other links, or the two alone when they are tied twice. */
function ringOf(a: string, b: string, links: readonly [string, string][]): string[] {
  const isDirect = ([one, other]: [string, string]) =>
    (one === a && other === b) || (one === b && other === a);
  const cameFrom = new Map<string, string>([[a, a]]);
  const others = links.filter((link) => !isDirect(link));
  for (const key of cameFrom.keys())
    for (const [one, other] of others) {
      const next = one === key ? other : other === key ? one : null;
      if (next !== null && !cameFrom.has(next)) cameFrom.set(next, key);
    }
  const way = [b];
  for (let key = cameFrom.get(b); key !== undefined && way.at(-1) !== a; key = cameFrom.get(key))
    way.push(key);
  return way.length > 1 ? way.reverse() : [a, b];
}

/** "a, b and c". */
function list(names: readonly string[]): string {
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

function stepProblems(sequence: Sequence, step: Step, isBurn: boolean): string[] {
  const { key } = step;
  const keys = new Set(sequence.steps.map((one) => one.key));
  const found: string[] = [];
  const same = step.lags.filter((lag) => lag.cycle === 'same');
  for (const lag of step.lags)
    if (!keys.has(lag.afterStepKey))
      found.push(
        `step ${key}: lags/afterStepKey names the step ${lag.afterStepKey}, which is not there`,
      );
  if (step.tiedTo !== null && !keys.has(step.tiedTo))
    found.push(`step ${key}: tiedTo names the step ${step.tiedTo}, which is not there`);
  if (step.tiedTo !== null && step.lags.length > 0)
    found.push(
      `step ${key}: a step on the day of another one (tiedTo) has no waits of its own; take them out`,
    );
  if (!isBurn && same.length > 1)
    found.push(`step ${key}: only a burn may wait for more than one step of the same cycle`);
  for (const lag of step.lags) {
    if (lag.kind === 'rotation' && !isBurn)
      found.push(`step ${key}: lags/kind rotation: only a burn may wait by the burn rotation`);
    const isToNextBurn = isBurn && lag.kind === 'rotation';
    const isToItself = lag.afterStepKey === key;
    if (
      lag.cycle === 'previous' &&
      (lag.afterStepKey !== sequence.repeat.stepKey || !(isToNextBurn || isToItself))
    )
      found.push(
        `step ${key}: a wait for the cycle before is for the repeat step, by itself or by a burn of the rotation`,
      );
  }
  return found;
}

/**
 * Work that may be split over places or weeks must not lie between two other steps: its pieces would tie them twice.
 * A step of single units may have at most one neighbour of the whole block, and none when its cycles are chained.
 */
function middleProblems(
  steps: readonly Step[],
  links: readonly [string, string][],
  treatmentOf: (step: Step) => Treatment | undefined,
): string[] {
  return steps.flatMap((step) => {
    const near = links.flatMap(([a, b]) => (a === step.key ? [b] : b === step.key ? [a] : []));
    const treatment = treatmentOf(step);
    const isChained = step.lags.some((lag) => lag.cycle === 'previous');
    if (near.length + (isChained ? 1 : 0) < 2 || !treatment) return [];
    if (treatment.duration === 'spread')
      return [`step ${step.key}: spread work must hang on one other step only`];
    const wholeBlock = near.filter((key) => {
      const other = steps.find((one) => one.key === key);
      return other && treatmentOf(other)?.scope !== 'unit';
    });
    return treatment.scope === 'unit' && wholeBlock.length > (isChained ? 0 : 1)
      ? [`step ${step.key}: work on single units must not lie between two steps of the whole block`]
      : [];
  });
}

/**
 * What is wrong with the steps of a sequence: missing steps, and links that are not a tree. The scheduler plans the
 * tasks of a block as one tree. Empty when all is well; each sentence begins with the step or the cycle.
 */
export function sequenceShapeProblems(
  sequence: Sequence,
  treatments: readonly Treatment[],
): string[] {
  const treatmentOf = (step: Step) => treatments.find((row) => row.key === step.treatmentKeys[0]);
  const found: string[] = [];
  const keys = sequence.steps.map((step) => step.key);
  if (new Set(keys).size < keys.length) found.push('steps: two steps have the same key');
  if (!keys.includes(sequence.repeat.stepKey))
    found.push(`repeat/stepKey names the step ${sequence.repeat.stepKey}, which is not there`);
  for (const step of sequence.steps)
    found.push(...stepProblems(sequence, step, treatmentOf(step)?.family === 'burn'));
  if (found.length > 0) return found;
  for (const cycle of [1, 2] as const) {
    if (cycle === 2 && sequence.repeat.kind === 'none') continue;
    const steps = stepsOf(sequence, cycle);
    const links = linksOf(steps);
    const fault = treeFault(steps, links);
    if (fault) found.push(`steps: the links of cycle ${cycle} must form one tree; ${fault}`);
    else found.push(...middleProblems(steps, links, treatmentOf));
  }
  return found;
}
