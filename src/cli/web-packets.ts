import type { Problem } from '../core/problems.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

/** What goes wrong inside a transaction takes it all back; the problems come out with it. */
class Refused extends Error {
  readonly problems: Problem[];
  constructor(problems: Problem[]) {
    super('refused');
    this.problems = problems;
  }
}

/** Elements of burn plans as pages change them: all of them or none. */
export function webPackets(file: OperationFile): Deps['packets'] {
  const { store, library } = file;
  return {
    saveElements: (elements) => {
      try {
        store.inOneTransaction(() => {
          for (const element of elements) {
            const isNew = element.id === 0;
            const saved = store.records.saveRow(
              'planElement',
              element,
              isNew,
              library,
              () => false,
            );
            if (!saved.ok) throw new Refused(saved.problems);
          }
        });
      } catch (error) {
        if (error instanceof Refused) return error.problems;
        throw error;
      }
      file.publish();
      return [];
    },
  };
}
