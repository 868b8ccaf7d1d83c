import { violations } from './evaluate.ts';
import type { Model } from './model.ts';

/**
 * The plan in force as far as it still holds: option of the model by task, -1 = not placed. Groups that would break
 * a rule are left out whole, one after the other, and are `open`: to be planned anew. Null without a plan in force.
 */
export function planBefore(model: Model): { choice: number[]; open: Set<number> } | null {
  if (!model.tasks.some(({ before }) => before !== undefined)) return null;
  const choice = model.tasks.map(({ before, pinned }) => (pinned >= 0 ? pinned : (before ?? -1)));
  const open = new Set<number>();
  for (;;) {
    const [broken] = violations(model, choice).filter(({ tasks }) =>
      tasks.some((task) => !open.has(model.tasks[task]!.group)),
    );
    if (!broken) return { choice, open };
    const groups = broken.tasks.map((task) => model.tasks[task]!.group);
    const group = groups.findLast((one) => !open.has(one)) as number;
    open.add(group);
    model.tasks.forEach((task, at) => {
      if (task.group === group && task.pinned < 0) choice[at] = -1;
    });
  }
}
