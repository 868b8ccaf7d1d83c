import { webDeps } from '../../src/cli/deps.ts';
import type { OperationFile } from '../../src/cli/operation-file.ts';
import type { Deps } from '../../src/web/deps.ts';

const health: Deps['health'] = {
  ask: () => {},
  findings: () => [],
  running: () => {
    throw new Error('the health page is not under test');
  },
};

/** The pages' view of an open database, without the planning of a sample. */
export function fileDeps(file: OperationFile): Deps {
  return webDeps(
    file,
    () => {},
    () => false,
    health,
  );
}
