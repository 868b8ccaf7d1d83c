import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import type { Deps, ShapeChange } from '../deps.ts';
import { type FormState, idOf, postForm, seeOther } from '../forms/form.ts';
import {
  joinForm,
  linesForm,
  mergeForm,
  partForm,
  splitChange,
  splitForm,
} from '../forms/shapes.ts';
import { renderPane } from '../htmx.ts';
import {
  blocksPage,
  confirmPage,
  cornersOf,
  limitsOf,
  linesPage,
  mergePage,
  splitPage,
} from '../pages/shapes.ts';

type Query = Record<string, string | undefined>;

const queryOf = (request: FastifyRequest): Query => request.query as Query;

interface Asked {
  change: ShapeChange;
  isSure: boolean;
  title: string;
  button: string;
  action: string;
  /** Page that is shown after saving, and from which the form came. */
  done: string;
  back: string;
  /** Shows the form again with what is wrong. */
  again: (problems: Problem[]) => Promise<string>;
}

/** Saves a change that is sure; of any other it shows what it would do. */
async function answer(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  asked: Asked,
): Promise<unknown> {
  if (asked.isSure) {
    const problems = deps.shapes.save(asked.change);
    if (problems.length === 0) return seeOther(reply, asked.done);
    reply.code(422);
    return asked.again(problems);
  }
  const preview = deps.shapes.preview(asked.change);
  if (!preview.ok) {
    reply.code(422);
    return asked.again(preview.problems);
  }
  const page = confirmPage(deps, asked, preview.value, request.typed);
  return renderPane(request, reply, { page: 'shapes/confirm' }, page);
}

function registerSplit(app: FastifyInstance, deps: Deps): void {
  app.get('/units/:id/split', async (request, reply) => {
    const page = splitPage(deps, idOf(request), Number(queryOf(request)['parts']));
    return renderPane(request, reply, { page: 'shapes/split' }, page);
  });
  postForm(app, '/units/:id/split', splitForm, async (submission, request, reply) => {
    const unitId = idOf(request);
    const { form } = submission;
    const again = (problems: Problem[]) => {
      reply.code(422);
      const page = splitPage(deps, unitId, 0, { ...form, problems });
      return renderPane(request, reply, { page: 'shapes/split' }, page);
    };
    if (!submission.ok) return again(form.problems);
    const { values } = submission;
    const read = splitChange(unitId, values, cornersOf(deps, unitId));
    if ('problem' in read) return again([read.problem]);
    return answer(deps, request, reply, {
      change: read.change,
      isSure: values.isSure === 'yes',
      title: 'Split it like this?',
      button: 'Split the unit',
      action: `/units/${unitId}/split`,
      done: `/units/${unitId}`,
      back: `/units/${unitId}`,
      again,
    });
  });
}

function registerMerge(app: FastifyInstance, deps: Deps): void {
  const show = (request: FastifyRequest, reply: FastifyReply, id: string, form?: FormState) => {
    const unitId = /^[1-9]\d{0,9}$/.test(id) ? Number(id) : null;
    const page = mergePage(deps, unitId, form);
    return renderPane(request, reply, { page: 'shapes/merge' }, page);
  };
  app.get('/units/merge', async (request, reply) =>
    show(request, reply, queryOf(request)['unit'] ?? ''),
  );
  postForm(app, '/units/merge', mergeForm, async (submission, request, reply) => {
    const { form } = submission;
    const again = (problems: Problem[]) => {
      reply.code(422);
      return show(request, reply, form.values['keepId'] ?? '', { ...form, problems });
    };
    if (!submission.ok) return again(form.problems);
    const { isSure, keepId, unitId = [], code, name } = submission.values;
    return answer(deps, request, reply, {
      change: { kind: 'merge', keepId, otherIds: unitId, code: code.trim(), name: name.trim() },
      isSure: isSure === 'yes',
      title: 'Merge them like this?',
      button: 'Merge the units',
      action: '/units/merge',
      done: `/units/${keepId}`,
      back: `/units/${keepId}`,
      again,
    });
  });
}

function registerLines(app: FastifyInstance, deps: Deps): void {
  app.get('/land/lines', async (request, reply) => {
    const page = linesPage(deps, queryOf(request));
    return renderPane(request, reply, { page: 'shapes/lines' }, page);
  });
  postForm(app, '/land/lines', linesForm, async (submission, request, reply) => {
    const asked = { property: submission.form.values['propertyId'] };
    const again = (problems: Problem[]) => {
      reply.code(422);
      const page = linesPage(deps, asked, { ...submission.form, problems });
      return renderPane(request, reply, { page: 'shapes/lines' }, page);
    };
    if (!submission.ok) return again(submission.form.problems);
    const { isSure, propertyId } = submission.values;
    const path = `/land/lines?property=${propertyId}`;
    return answer(deps, request, reply, {
      change: { kind: 'lines', propertyId },
      isSure: isSure === 'yes',
      title: 'Draw the lines like this?',
      button: 'Draw the lines',
      action: '/land/lines',
      done: path,
      back: path,
      again,
    });
  });
}

function registerBlocks(app: FastifyInstance, deps: Deps): void {
  app.get('/land/blocks', async (request, reply) => {
    const page = blocksPage(deps, limitsOf(queryOf(request)));
    return renderPane(request, reply, { page: 'shapes/blocks' }, page);
  });
  const again =
    (request: FastifyRequest, reply: FastifyReply, form: FormState) => (problems: Problem[]) => {
      reply.code(422);
      const page = blocksPage(deps, limitsOf({}), { ...form, problems });
      return renderPane(request, reply, { page: 'shapes/blocks' }, page);
    };
  const path = '/land/blocks';
  postForm(app, '/land/blocks/join', joinForm, async (submission, request, reply) => {
    const show = again(request, reply, submission.form);
    if (!submission.ok) return show(submission.form.problems);
    const { isSure, keepId, otherId } = submission.values;
    return answer(deps, request, reply, {
      change: { kind: 'join', keepId, otherId },
      isSure: isSure === 'yes',
      title: 'Make them one block?',
      button: 'Make one block',
      action: '/land/blocks/join',
      done: path,
      back: path,
      again: show,
    });
  });
  postForm(app, '/land/blocks/part', partForm, async (submission, request, reply) => {
    const show = again(request, reply, submission.form);
    if (!submission.ok) return show(submission.form.problems);
    const { isSure, blockId } = submission.values;
    return answer(deps, request, reply, {
      change: { kind: 'part', blockId },
      isSure: isSure === 'yes',
      title: 'Give each unit a block of its own?',
      button: 'Part the block',
      action: '/land/blocks/part',
      done: path,
      back: path,
      again: show,
    });
  });
}

/** Units split and merged, lines drawn from edges, blocks made and undone; each shows first what it would do. */
export function registerShapes(app: FastifyInstance, deps: Deps): void {
  registerSplit(app, deps);
  registerMerge(app, deps);
  registerLines(app, deps);
  registerBlocks(app, deps);
}
