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

function isTree(steps: readonly Step[], links: readonly [string, string][]): boolean {
  const reached = new Set([steps[0]?.key]);
  for (let grew = true; grew; ) {
    const before = reached.size;
    for (const [a, b] of links) {
      if (reached.has(a)) reached.add(b);
      if (reached.has(b)) reached.add(a);
    }
    grew = reached.size > before;
  }
  return reached.size === steps.length && links.length === steps.length - 1;
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
    found.push(`step ${key}: a step with tiedTo has no lags of its own; take them out`);
  if (!isBurn && same.length > 1)
    found.push(`step ${key}: only a burn may have more than one lag in the same cycle`);
  for (const lag of step.lags) {
    if (lag.kind === 'rotation' && !isBurn)
      found.push(`step ${key}: lags/kind rotation belongs to burns only`);
    const isToNextBurn = isBurn && lag.kind === 'rotation';
    const isToItself = lag.afterStepKey === key;
    if (
      lag.cycle === 'previous' &&
      (lag.afterStepKey !== sequence.repeat.stepKey || !(isToNextBurn || isToItself))
    )
      found.push(
        `step ${key}: a lag to the previous cycle runs from the repeat step to itself or to a burn`,
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
    if (!isTree(steps, links))
      found.push(`steps: the links of cycle ${cycle} must form one tree, each pair tied once`);
    else found.push(...middleProblems(steps, links, treatmentOf));
  }
  return found;
}
