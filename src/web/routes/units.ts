import type { FastifyInstance } from 'fastify';
import type { Static } from 'typebox';
import type { IsoDate } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';
import type { UnitChange } from '../../core/units.ts';
import type { Deps } from '../deps.ts';
import { blockChangeOf, blockForm, blockProblems } from '../forms/block.ts';
import { changedMeanwhile, idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { entryForm, unitForm } from '../forms/units.ts';
import { renderPane } from '../htmx.ts';
import { rowChanges } from '../pages/changes.ts';
import { todayAt } from '../pages/shell.ts';
import { unitPage } from '../pages/unit.ts';
import { unitQuery, unitsPage } from '../pages/units.ts';
import { readEntry } from './worklog.ts';

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

/** The short entry of the unit page: what its form leaves out stays blank. */
function recordEntry(
  deps: Deps,
  unitId: number,
  values: Static<typeof entryForm.schema>,
): Problem[] {
  const { drafts, problems } = readEntry(deps, { ...values, unitId });
  if (problems.length > 0) return problems;
  const written = deps.worklog.write(drafts, null);
  return written.ok ? [] : written.problems;
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
  app.get('/units/:id', async (request, reply) => {
    const unitId = idOf(request);
    const shown = unitPage(deps, unitId);
    const changes = shown.shell.mayPlan ? rowChanges(deps, 'unit', unitId) : null;
    return renderPane(request, reply, { page: 'units/show' }, { ...shown, changes });
  });
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
    if (submission.ok) problems = recordEntry(deps, unitId, submission.values);
    if (problems.length === 0) return seeOther(reply, `/units/${unitId}#history`);
    reply.code(refusalStatus(problems));
    const entry = { ...submission.form, problems };
    return renderPane(request, reply, { page: 'units/show' }, { ...shown, entry });
  });
}
