import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Block } from '../../core/blocks.ts';
import {
  burnInHand,
  type CallOutAnswer,
  type NewBurnPaper,
  type PatrolMoment,
  type UnusedReason,
} from '../../core/burn-papers.ts';
import { unitsOf } from '../../core/chains.ts';
import { addDays, type IsoDate } from '../../core/dates.ts';
import { burnDaysOf } from '../../core/papers.ts';
import { signOutProblems, watchOf } from '../../core/patrol.ts';
import type { Outcome, Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import {
  callForm,
  callOffForm,
  callOutForm,
  noteField,
  patrolForm,
  stepForm,
  toWhomField,
  unusedForm,
  watchEndForm,
} from '../forms/burn.ts';
import { type FormState, idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { type BurnForms, blockAt, burnPage, clockAt, openEntryIds } from '../pages/burn.ts';
import { todayAt } from '../pages/shell.ts';
import { PageError } from '../plugins/errors.ts';

const template = { page: 'burns/show' };

type Own<P> = P extends NewBurnPaper
  ? Omit<P, 'blockId' | 'unitIds' | 'burnKey' | 'on' | 'at'>
  : never;
type OwnPaper = Own<NewBurnPaper>;

type Stamp = {
  blockId: number;
  unitIds: number[];
  burnKey: string | null;
  on: IsoDate;
  at: string;
};

/** A paper of the burn that a block has in hand, stamped with now at its property. */
export function stamped<P extends OwnPaper>(deps: Deps, block: Block, own: P): P & Stamp {
  const operation = deps.operation();
  const { property } = blockAt(deps, block.id);
  const stamp: Stamp = {
    blockId: block.id,
    unitIds: unitsOf(operation, block).map((unit) => unit.id),
    burnKey: burnInHand(operation, block)?.key ?? null,
    on: todayAt(deps, property),
    at: clockAt(property.timeZone, deps.burns.now()),
  };
  return { ...own, ...stamp };
}

/** The page again with a refused form, or on to the page. */
function answer(
  deps: Deps,
  at: { request: FastifyRequest; reply: FastifyReply; block: Block },
  saved: Outcome<unknown>,
  refused: (problems: Problem[]) => BurnForms,
  anchor: string,
) {
  const { request, reply, block } = at;
  if (saved.ok) return seeOther(reply, `/burns/${block.id}${anchor}`);
  reply.code(refusalStatus(saved.problems));
  const { day } = request.typed;
  return renderPane(
    request,
    reply,
    template,
    burnPage(deps, block.id, { day }, refused(saved.problems)),
  );
}

const asForm = (form: FormState, problems: Problem[]): FormState => ({ ...form, problems });
const refusal = (problems: Problem[]): Outcome<never> => ({ ok: false, problems });

function registerSteps(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/burns/:id/steps', stepForm, async (submission, request, reply) => {
    const { block } = blockAt(deps, idOf(request));
    const { typed } = request;
    const stepKey = typed['done'] || typed['notNeeded'] || '';
    const isKnown = deps.operation().burnSteps.some((rule) => rule.key === stepKey);
    const unknown: Problem = { code: 'step', message: 'Press the button of a step of the list.' };
    const add = (by: string) =>
      deps.papers.add(
        stamped(deps, block, {
          kind: 'step',
          stepKey,
          isNeeded: Boolean(typed['done']),
          toWhom: (typed[toWhomField(stepKey)] ?? '').trim(),
          note: (typed[noteField(stepKey)] ?? '').trim(),
          by,
        }),
      );
    const saved = submission.ok
      ? isKnown
        ? add(submission.values.by)
        : refusal([unknown])
      : refusal(submission.form.problems);
    const steps = (problems: Problem[]) => ({
      steps: asForm(
        submission.form,
        problems.map((one) => (one.field === 'note' ? { ...one, field: noteField(stepKey) } : one)),
      ),
    });
    return answer(deps, { request, reply, block }, saved, steps, `#step-${stepKey}`);
  });
  postForm(app, '/burns/:id/papers/:paper/take-back', buttonForm, async (_form, request, reply) => {
    const { block } = blockAt(deps, idOf(request));
    const paperId = idOf(request, 'paper');
    const paper = deps
      .operation()
      .papers.find((one) => one.id === paperId && one.blockId === block.id);
    if (!paper || paper.kind === 'choice')
      throw new PageError(404, 'There is nothing to take back at this address.');
    deps.papers.takeBack(paper);
    return seeOther(reply, `/burns/${block.id}`);
  });
}

/** A burn is confirmed only by a call on the day before or the day itself. */
function callProblems(day: IsoDate, today: IsoDate): Problem[] {
  if (day === today || day === addDays(today, 1)) return [];
  const message = 'Day: a burn is called for today or tomorrow, not earlier.';
  return [{ code: 'call-day', field: 'day', message }];
}

function registerCalls(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/burns/:id/call', callForm, async (submission, request, reply) => {
    const { block, property } = blockAt(deps, idOf(request));
    const today = todayAt(deps, property);
    const call = (problems: Problem[]) => ({ call: asForm(submission.form, problems) });
    const add = (): Outcome<number> => {
      if (!submission.ok) return refusal(submission.form.problems);
      const { by, note } = submission.values;
      const day = submission.values.day as IsoDate;
      const lightAt = (submission.values.lightAt ?? '').trim();
      const problems = callProblems(day, today);
      if (problems.length > 0) return refusal(problems);
      const time = lightAt === '' ? null : lightAt.padStart(5, '0');
      return deps.papers.add(
        stamped(deps, block, { kind: 'call', day, lightAt: time, note: note ?? '', by }),
      );
    };
    return answer(deps, { request, reply, block }, add(), call, '');
  });
  postForm(app, '/burns/:id/call-off', callOffForm, async (submission, request, reply) => {
    const { block, property } = blockAt(deps, idOf(request));
    const plan = deps.plans.inForce()?.content ?? null;
    const { call } = burnDaysOf(deps.operation(), block, todayAt(deps, property), plan);
    const callOff = (problems: Problem[]) => ({ callOff: asForm(submission.form, problems) });
    const add = (): Outcome<number> => {
      if (!submission.ok) return refusal(submission.form.problems);
      if (!call)
        return refusal([{ code: 'no-call', message: 'No day is called; nothing is off.' }]);
      const { by, reason } = submission.values;
      return deps.papers.add(stamped(deps, block, { kind: 'call-off', day: call.day, reason, by }));
    };
    return answer(deps, { request, reply, block }, add(), callOff, '');
  });
}

function registerPeople(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/burns/:id/call-out', callOutForm, async (submission, request, reply) => {
    const { block } = blockAt(deps, idOf(request));
    const callOut = (problems: Problem[]) => ({ callOut: asForm(submission.form, problems) });
    const add = (): Outcome<number> => {
      if (!submission.ok) return refusal(submission.form.problems);
      const { by, personId } = submission.values;
      const day = submission.values.day as IsoDate;
      const given = submission.values.answer as CallOutAnswer;
      if (!deps.operation().people.some((person) => person.id === personId))
        return refusal([{ code: 'person', message: 'This person is not on the list any more.' }]);
      return deps.papers.add(
        stamped(deps, block, { kind: 'call-out', personId, day, answer: given, by }),
      );
    };
    const anchor = `?day=${submission.ok ? submission.values.day : ''}#call-out`;
    return answer(deps, { request, reply, block }, add(), callOut, anchor);
  });
  postForm(app, '/burns/:id/unused-days', unusedForm, async (submission, request, reply) => {
    const { block, property } = blockAt(deps, idOf(request));
    const unused = (problems: Problem[]) => ({ unused: asForm(submission.form, problems) });
    const add = (): Outcome<number> => {
      if (!submission.ok) return refusal(submission.form.problems);
      const { by } = submission.values;
      const day = submission.values.day as IsoDate;
      const reason = submission.values.reason as UnusedReason;
      if (day > todayAt(deps, property))
        return refusal([
          { code: 'unused-day', field: 'day', message: 'Day: write today or an earlier day.' },
        ]);
      return deps.papers.add(stamped(deps, block, { kind: 'fit-day-not-used', day, reason, by }));
    };
    return answer(deps, { request, reply, block }, add(), unused, '#unused');
  });
}

/**
 * Keeps why a burn is signed out before its checks are in, or says why it can not be signed out. Nothing is kept where the
 * checks are in.
 */
export function keepSignOutReason(
  deps: Deps,
  block: Block,
  on: IsoDate,
  by: string,
  reason: string,
): Problem[] {
  const operation = deps.operation();
  const problems = signOutProblems(operation, block, on, reason);
  const isShort = (watchOf(operation, block)?.missing.length ?? 0) > 0;
  if (problems.length > 0 || !isShort) return problems;
  const kept = deps.papers.add(
    stamped(deps, block, { kind: 'early-sign-out', reason: reason.trim(), by }),
  );
  return kept.ok ? [] : kept.problems;
}

/** Closes every open entry of the fire. */
function signOut(deps: Deps, block: Block, on: IsoDate, by: string, reason: string): Problem[] {
  const ids = openEntryIds(deps, block);
  return deps.allOrNone(() => {
    const problems = keepSignOutReason(deps, block, on, by, reason);
    return problems.length > 0 ? problems : ids.flatMap((id) => deps.worklog.signOut(id, on));
  });
}

function registerWatch(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/burns/:id/checks', patrolForm, async (submission, request, reply) => {
    const { block } = blockAt(deps, idOf(request));
    const check = (problems: Problem[]) => ({ check: asForm(submission.form, problems) });
    const add = (): Outcome<number> => {
      if (!submission.ok) return refusal(submission.form.problems);
      const { by, isClean, after, hasSnagsOrSlash, note } = submission.values;
      return deps.papers.add(
        stamped(deps, block, {
          kind: 'patrol',
          isClean: isClean === 'yes',
          after: after ? (after as PatrolMoment) : null,
          hasSnagsOrSlash: hasSnagsOrSlash === 'yes',
          note: note ?? '',
          by,
        }),
      );
    };
    return answer(deps, { request, reply, block }, add(), check, '#watch');
  });
  postForm(app, '/burns/:id/sign-out', watchEndForm, async (submission, request, reply) => {
    const { block } = blockAt(deps, idOf(request));
    const watchEnd = (problems: Problem[]) => ({ watchEnd: asForm(submission.form, problems) });
    const end = (): Outcome<null> => {
      if (!submission.ok) return refusal(submission.form.problems);
      const { by, signedOutOn, reason } = submission.values;
      const problems = signOut(deps, block, signedOutOn as IsoDate, by, (reason ?? '').trim());
      return problems.length > 0 ? refusal(problems) : { ok: true, value: null };
    };
    return answer(deps, { request, reply, block }, end(), watchEnd, '');
  });
}

/** `/burns/ID`: one place for the burn of a block, from the first step to the sign-out. */
export function registerBurn(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>(
    '/burns/:id',
    async (request, reply) =>
      renderPane(
        request,
        reply,
        template,
        burnPage(deps, idOf(request), { day: request.query['day'] }),
      ),
  );
  registerSteps(app, deps);
  registerCalls(app, deps);
  registerPeople(app, deps);
  registerWatch(app, deps);
}
