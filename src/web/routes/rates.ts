import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import {
  acceptedLighting,
  acceptedRate,
  learnedLighting,
  learnedRates,
} from '../../core/learning.ts';
import type { OwnRate } from '../../core/own-rates.ts';
import type { Property } from '../../core/properties.ts';
import type { ChangeAnswer } from '../../core/records.ts';
import { supplySettingsDefault } from '../../core/weather/supply.ts';
import type { Deps } from '../deps.ts';
import { postForm, seeOther } from '../forms/form.ts';
import { rateForm, shareForm } from '../forms/rates.ts';
import { renderPane } from '../htmx.ts';
import { fitDayUseOf, ratesPage } from '../pages/rates.ts';
import { todayAt } from '../pages/shell.ts';
import { PageError } from '../plugins/errors.ts';

interface Which {
  treatmentKey: string | null;
  densityClass: string | null;
}

/** The row that the log gives now; null when it is not offered, or not any more. */
function offeredRow(deps: Deps, property: Property, which: Which): OwnRate | null {
  const operation = deps.operation();
  const today = todayAt(deps, property);
  if (which.treatmentKey === null)
    return acceptedLighting(
      property,
      learnedLighting(operation, property, deps.worklog.details()),
      today,
    );
  const learned = learnedRates(operation, property).find(
    ({ treatment, densityClass }) =>
      treatment.key === which.treatmentKey && densityClass === which.densityClass,
  );
  return learned ? acceptedRate(property, learned, today) : null;
}

function acceptedRows(deps: Deps, property: Property, which: Which): OwnRate[] {
  return deps
    .operation()
    .ownRates.filter(
      (row) =>
        row.propertyId === property.id &&
        row.treatmentKey === which.treatmentKey &&
        row.densityClass === which.densityClass,
    );
}

/** One row stands for one treatment, density and property: a newer figure takes its place and leaves its history. */
function accept(deps: Deps, property: Property, which: Which, isSure: boolean): ChangeAnswer {
  const row = offeredRow(deps, property, which);
  if (!row) {
    const message = 'This rate is not offered any more: the log has changed since.';
    return { kind: 'refused', problems: [{ code: 'rate-not-offered', message }] };
  }
  const before = acceptedRows(deps, property, which).at(-1);
  const id = before?.id ?? 0;
  return deps.records.save('ownRate', { ...row, id }, before === undefined, isSure);
}

function goBack(deps: Deps, property: Property, which: Which, isSure: boolean): ChangeAnswer {
  let answer: ChangeAnswer = { kind: 'saved', id: property.id };
  deps.allOrNone(() => {
    for (const { id } of acceptedRows(deps, property, which)) {
      answer = deps.records.retire('ownRate', id, isSure);
      if (answer.kind !== 'saved') return answer.problems;
    }
    return [];
  });
  return answer;
}

function shown(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  answer: ChangeAnswer,
): unknown {
  if (answer.kind === 'saved') return seeOther(reply, '/rates');
  reply.code(answer.kind === 'breaks' ? 409 : 422);
  const page = ratesPage(deps, answer.problems, answer.kind === 'breaks' ? request.typed : {});
  return renderPane(request, reply, { page: 'rates/show' }, page);
}

/** `/rates`: what the log says of rates beside what the plan uses; accepted and taken back by the row. */
export function registerRates(app: FastifyInstance, deps: Deps): void {
  app.get('/rates', (request, reply) =>
    renderPane(request, reply, { page: 'rates/show' }, ratesPage(deps)),
  );
  postForm(app, '/rates', rateForm, async (submission, request, reply) => {
    if (!submission.ok)
      return shown(deps, request, reply, { kind: 'refused', problems: submission.form.problems });
    const { propertyId, action, isSure, ...which } = submission.values;
    const property = deps.operation().properties.find(({ id }) => id === propertyId);
    if (!property) throw new PageError(404, 'There is no property at this address.');
    const change = action === 'accept' ? accept : goBack;
    return shown(deps, request, reply, change(deps, property, which, isSure === 'yes'));
  });
  postForm(app, '/rates/share', shareForm, async (submission, request, reply) => {
    const { settings } = deps.operation();
    const { share, isOffered } = fitDayUseOf(deps);
    const isBack = submission.ok && submission.values.action === 'back';
    const learned = isOffered && share !== null ? Math.round(share * 100) / 100 : null;
    const usedShare = isBack ? supplySettingsDefault.usedShare : learned;
    let { problems } = submission.form;
    if (problems.length === 0 && usedShare === null) {
      const message = 'The share is not offered yet: too few fit days have passed.';
      problems = [{ code: 'share-not-offered', message }];
    }
    if (problems.length === 0 && usedShare !== null)
      problems = deps.land.updateSettings({
        ...settings,
        supply: { ...settings.supply, usedShare },
      });
    const answer: ChangeAnswer =
      problems.length > 0 ? { kind: 'refused', problems } : { kind: 'saved', id: 0 };
    return shown(deps, request, reply, answer);
  });
}
