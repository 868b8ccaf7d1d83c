import type { FastifyInstance } from 'fastify';
import type { Static } from 'typebox';
import type { IsoDate } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';
import type { UnitChange } from '../../core/units.ts';
import type { WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { blockChangeOf, blockForm, blockProblems } from '../forms/block.ts';
import { changedMeanwhile, idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { entryForm, unitForm } from '../forms/units.ts';
import { renderPane } from '../htmx.ts';
import { todayAt } from '../pages/shell.ts';
import { unitPage } from '../pages/unit.ts';
import { unitQuery, unitsPage } from '../pages/units.ts';

const dateOf = (text: string | null) => text as IsoDate | null;
const listOf = (text: string) =>
  text
    .split(',')
    .map((part) => part.trim())
    .filter((part) => part !== '');

function changeOf(values: Static<typeof unitForm.schema>): UnitChange {
  return {
    ...values,
    densityClass: values.densityClass || null,
    aspect: values.aspect || null,
    tags: listOf(values.tags),
    sequenceKey: values.sequenceKey || null,
    sequenceStartsOn: dateOf(values.sequenceStartsOn),
  };
}

type EntryValues = Static<typeof entryForm.schema>;

function entryOf(deps: Deps, unitId: number, values: EntryValues): Omit<WorkEntry, 'id'> {
  const treatment = deps.operation().treatments.find((one) => one.key === values.treatmentKey);
  const isBurn = treatment?.family === 'burn';
  return {
    unitId,
    treatmentKey: values.treatmentKey,
    taskKey: values.taskKey || null,
    startedOn: null,
    doneOn: values.doneOn as IsoDate,
    precision: 'day',
    outcome: values.outcome,
    reason: values.reason,
    areaAcres: values.areaAcres,
    crewDays: values.crewDays,
    personHours: null,
    shareBlackPercent: isBurn ? values.shareBlackPercent : null,
    fireCause: isBurn ? 'planned' : null,
    signedOutOn: isBurn ? dateOf(values.signedOutOn) : null,
    note: values.note,
  };
}

/** What the fields say together, beyond what each says alone. */
function entryProblems(deps: Deps, unitId: number, values: EntryValues): Problem[] {
  const problems: Problem[] = [];
  const operation = deps.operation();
  const propertyId = operation.units.find((one) => one.id === unitId)?.propertyId;
  const today = todayAt(
    deps,
    operation.properties.find((one) => one.id === propertyId),
  );
  if (!operation.treatments.some((one) => one.key === values.treatmentKey))
    problems.push({
      code: 'unknown-treatment',
      field: 'treatmentKey',
      message: 'Treatment: choose one of the list.',
    });
  if (values.outcome === 'not-possible' && values.reason.trim() === '')
    problems.push({
      code: 'no-reason',
      field: 'reason',
      message: 'Reason: say in a few words why it was not possible.',
    });
  if (values.signedOutOn !== null && values.signedOutOn < values.doneOn)
    problems.push({
      code: 'signed-out-early',
      field: 'signedOutOn',
      message: 'Signed out on: write the day of the burn or a later one.',
    });
  if (values.doneOn > today && values.outcome !== 'under-way')
    problems.push({
      code: 'in-future',
      field: 'doneOn',
      message: 'Last day: the work log holds what was done; write today or an earlier day.',
    });
  return problems;
}

/** Changes what a burn of the unit's block needs. The unit is on record: its page was made before. */
function changeBlock(
  deps: Deps,
  unitId: number,
  values: Static<typeof blockForm.schema>,
  isSure: boolean,
): Problem[] {
  const operation = deps.operation();
  const unit = operation.units.find((one) => one.id === unitId);
  const block = operation.blocks.find((one) => one.id === unit?.blockId);
  if (!block) return [{ code: 'block-unknown', message: 'This block is not on record any more.' }];
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const problems = blockProblems(operation, block, todayAt(deps, property), values);
  if (problems.length > 0) return problems;
  return deps.land.updateBlock(block.id, blockChangeOf(operation, block, values), isSure);
}

/** `/units`, `/units/:id`, and the forms that change a unit and write in its log. */
export function registerUnits(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>('/units', (request, reply) =>
    renderPane(request, reply, { page: 'units/list' }, unitsPage(deps, unitQuery(request.query))),
  );
  app.get('/units/:id', async (request, reply) =>
    renderPane(request, reply, { page: 'units/show' }, unitPage(deps, idOf(request))),
  );
  postForm(app, '/units/:id', unitForm, async (submission, request, reply) => {
    const unitId = idOf(request);
    const shown = unitPage(deps, unitId);
    const stored = shown.edit.values;
    let { problems } = submission.form;
    if (submission.ok) problems = changedMeanwhile(request, stored, unitForm.labels);
    if (submission.ok && problems.length === 0)
      problems = deps.land.updateUnit(unitId, changeOf(submission.values), request.isSure);
    if (problems.length === 0) return seeOther(reply, `/units/${unitId}`);
    reply.code(refusalStatus(problems));
    const edit = { ...submission.form, problems, stored };
    return renderPane(request, reply, { page: 'units/show' }, { ...shown, edit });
  });
  postForm(app, '/units/:id/block', blockForm, async (submission, request, reply) => {
    const unitId = idOf(request);
    const shown = unitPage(deps, unitId);
    const stored = shown.block.form.values;
    let { problems } = submission.form;
    if (submission.ok) problems = changedMeanwhile(request, stored, blockForm.labels);
    if (submission.ok && problems.length === 0)
      problems = changeBlock(deps, unitId, submission.values, request.isSure);
    if (problems.length === 0) return seeOther(reply, `/units/${unitId}`);
    reply.code(refusalStatus(problems));
    const block = { ...shown.block, form: { ...submission.form, problems, stored } };
    return renderPane(request, reply, { page: 'units/show' }, { ...shown, block });
  });
  postForm(app, '/units/:id/entries', entryForm, async (submission, request, reply) => {
    const unitId = idOf(request);
    const shown = unitPage(deps, unitId, { entry: submission.form });
    let { problems } = submission.form;
    if (submission.ok) problems = entryProblems(deps, unitId, submission.values);
    if (submission.ok && problems.length === 0) {
      const recorded = deps.worklog.record(entryOf(deps, unitId, submission.values));
      if (recorded.ok) return seeOther(reply, `/units/${unitId}#history`);
      problems = recorded.problems;
    }
    reply.code(422);
    const entry = { ...submission.form, problems };
    return renderPane(request, reply, { page: 'units/show' }, { ...shown, entry });
  });
}
