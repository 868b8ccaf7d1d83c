import type { FastifyInstance } from 'fastify';
import type { ChoiceKey } from '../../core/burn-papers.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { choiceForm } from '../forms/burn.ts';
import { idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { renderPane } from '../htmx.ts';
import { blockAt } from '../pages/burn.ts';
import { canTake, choicesPage } from '../pages/choices.ts';
import { stamped } from './burn.ts';

const template = { page: 'choices/show' };

/** `/choices/ID`: a burn that would not carry, was missed or is past its use-by: what to do, and what each does. */
export function registerChoices(app: FastifyInstance, deps: Deps): void {
  app.get('/choices/:id', async (request, reply) =>
    renderPane(request, reply, template, choicesPage(deps, idOf(request))),
  );
  postForm(app, '/choices/:id', choiceForm, async (submission, request, reply) => {
    const { block } = blockAt(deps, idOf(request));
    const take = (): Problem[] => {
      if (!submission.ok) return submission.form.problems;
      const { by, reason } = submission.values;
      const choice = submission.values.choice as ChoiceKey;
      if (!canTake(deps, block.id, choice))
        return [
          {
            code: 'choice',
            field: 'choice',
            message: 'Choice: this one is not open for the block.',
          },
        ];
      return deps.papers.choose(stamped(deps, block, { kind: 'choice', choice, reason, by }));
    };
    const problems = take();
    // The plan in force is out of date by it: its page offers the draft.
    if (problems.length === 0) return seeOther(reply, '/plan');
    reply.code(refusalStatus(problems));
    const form = { ...submission.form, problems };
    return renderPane(request, reply, template, choicesPage(deps, block.id, form));
  });
}
