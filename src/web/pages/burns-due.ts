import { type BurnDue, burnsDue } from '../../core/burns-due.ts';
import type { BurnStep } from '../../core/papers.ts';
import type { Deps } from '../deps.ts';
import * as words from '../words.ts';
import { todayAt } from './shell.ts';

interface DueLine {
  name: string;
  path: string;
  words: string;
  isLate: boolean;
}

/** What burns ask for now, as the Today page says it. */
export interface BurnsDue {
  /** Burns that were called. */
  called: DueLine[];
  steps: DueLine[];
  looks: DueLine[];
  /** Burns that can not be as planned, with the way to the choices. */
  choices: DueLine[];
  /** What the watch of an open burn still lacks, by block. */
  watch: Map<number, string>;
}

/** Steps named for a block; the rest are counted. */
const stepsNamed = 2;

function stepWords(steps: readonly BurnStep[]): string {
  const named = steps.slice(0, stepsNamed).map(({ name, state, dueBy }) => {
    const when = dueBy === null ? 'now' : `by ${words.date(dueBy)}`;
    return `${name} (${state === 'late' && dueBy !== null ? `late, was due ${words.date(dueBy)}` : when})`;
  });
  const more = steps.length - named.length;
  return `${named.join('; ')}${more > 0 ? `; and ${more} more` : ''}`;
}

function looksOf({ block, looks }: BurnDue, name: string): DueLine[] {
  return looks.map((look) => ({
    name,
    path: `/burns/${block.id}#follow-ups`,
    words: `${look.name}, ${words.span(look.from, look.until)}${look.state === 'late' ? ', late' : ''}`,
    isLate: look.state === 'late',
  }));
}

/** Steps, calls, looks and choices that are due now, by block. */
export function burnsDueView(deps: Deps): BurnsDue {
  const operation = deps.operation();
  const plan = deps.plans.inForce()?.content ?? null;
  const due = burnsDue(operation, plan, (property) => todayAt(deps, property)).map((one) => ({
    ...one,
    name: `${one.block.code} ${one.block.name === one.block.code ? '' : one.block.name}`.trim(),
  }));
  return {
    called: due.flatMap(({ block, days: { call, litOn }, name }) =>
      call && litOn === null
        ? [
            {
              name,
              path: `/burns/${block.id}`,
              words: `called for ${words.date(call.day)}${call.lightAt === null ? '' : `, ${call.lightAt}`}, by ${call.by}`,
              isLate: false,
            },
          ]
        : [],
    ),
    steps: due
      .filter((one) => one.steps.length > 0)
      .map(({ block, steps, name }) => ({
        name,
        path: `/burns/${block.id}#steps`,
        words: stepWords(steps),
        isLate: steps.some((step) => step.state === 'late'),
      })),
    looks: due.flatMap((one) => looksOf(one, one.name)),
    choices: due.flatMap(({ block, situation, name }) =>
      situation.kind === 'none'
        ? []
        : [{ name, path: `/choices/${block.id}`, words: situation.words, isLate: true }],
    ),
    watch: new Map(
      due.flatMap(({ block, watch }) =>
        watch ? [[block.id, watch.missing.join('; ')] as const] : [],
      ),
    ),
  };
}
