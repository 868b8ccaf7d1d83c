import { oncePerList } from '../land-index.ts';
import type { ModelEdge } from './model.ts';

function byTask(taskOf: (edge: ModelEdge) => number) {
  const lists = oncePerList((edges: readonly ModelEdge[]) => {
    const found = new Map<number, ModelEdge[]>();
    for (const edge of edges) {
      const list = found.get(taskOf(edge));
      if (list) list.push(edge);
      else found.set(taskOf(edge), [edge]);
    }
    return found;
  });
  return (edges: readonly ModelEdge[], task: number): readonly ModelEdge[] =>
    lists(edges).get(task) ?? [];
}

/** Edges to the forerunners of a task, in the order of the list. */
export const edgesInto = byTask((edge) => edge.succ);

/** Edges to the followers of a task, in the order of the list. */
export const edgesFrom = byTask((edge) => edge.pred);
