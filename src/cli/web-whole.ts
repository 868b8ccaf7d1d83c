import { rmSync } from 'node:fs';
import type { Problem } from '../core/problems.ts';
import { NotKept } from '../storage/backup.ts';
import { photosFolder } from '../storage/photos.ts';
import { writeFault } from '../storage/write-faults.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { documentOf, freshFrom } from './whole-operation.ts';

/** Text of the document; the reading of the database ends with it, also when nobody reads on. */
function* pieces(path: string, hasWeather: boolean): Generator<string> {
  const { text, close } = documentOf(path, hasWeather, new Date());
  try {
    yield* text;
  } finally {
    close();
  }
}

const photosMissing: Problem = {
  code: 'document-photo',
  message:
    'The document names photos that are not in the folder of photos here: use the verb import, with the folder of photos beside the document.',
};

function take(file: OperationFile, text: string): Problem[] {
  const { path, store } = file;
  const fresh = `${path}.importing`;
  try {
    const { problems } = freshFrom(fresh, [text], photosFolder(path));
    if (problems.some(({ code }) => code === 'document-photo')) return [photosMissing];
    if (problems.length > 0) return problems;
    const kept = file.keepCopy();
    store.replaceWhole(fresh, `Everything was replaced by a document. ${kept}`.trim());
    return [];
  } catch (error) {
    const disk = writeFault(error);
    if (disk) return [disk];
    if (!(error instanceof NotKept)) throw error;
    return [{ code: 'not-kept', message: `Nothing was replaced. ${error.message}` }];
  } finally {
    for (const end of ['', '-wal', '-shm']) rmSync(`${fresh}${end}`, { force: true });
  }
}

/** The whole operation as one document, out and in, while the server runs. */
export function webWhole(file: OperationFile): Deps['whole'] {
  return {
    document: (hasWeather) => (file.path === ':memory:' ? null : pieces(file.path, hasWeather)),
    take: (text) => take(file, text),
  };
}
