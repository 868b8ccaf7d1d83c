import {
  closeSync,
  existsSync,
  mkdirSync,
  openSync,
  readSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { basename, dirname, extname, join } from 'node:path';
import { documentFormat, documentVersion, type PhotoFile } from '../core/operation-document.ts';
import type { Problem } from '../core/problems.ts';
import type { LibraryNoun } from '../core/records.ts';
import { DocumentFault, readDocument, writeDocument } from '../exchange/operation-document.ts';
import { loadLibrary } from '../reference/library.ts';
import { ownRowProblems } from '../reference/own-rows.ts';
import { putInPlace, verifyDatabase } from '../storage/backup.ts';
import { utcSeconds } from '../storage/changes.ts';
import { copyPhotos, listPhotos, photoFault } from '../storage/photo-copies.ts';
import { photosFolder } from '../storage/photos.ts';
import { libraryKinds } from '../storage/record-store.ts';
import { lockForServer } from '../storage/server-lock.ts';
import { openStore, type Store } from '../storage/store.ts';
import { buildDatabase, DocumentMisfit, readWhole } from '../storage/whole-database.ts';
import {
  exitDone,
  exitProblems,
  printProblems,
  readArguments,
  readRequired,
  UsageError,
  type Verb,
} from './arguments.ts';
import { programVersion } from './version.ts';

/** Text of a whole operation in pieces, from its database as it is now. `close` ends the reading. */
export function documentOf(
  path: string,
  hasWeather: boolean,
  at: Date,
): { text: Generator<string>; photos: PhotoFile[]; close: () => void } {
  const { schema, sequences, fields, tables, close } = readWhole(path, hasWeather);
  const photos = listPhotos(photosFolder(path));
  const head = {
    format: documentFormat,
    version: documentVersion,
    program: programVersion,
    schema,
    exportedAt: utcSeconds(() => at),
    hasWeather,
    sequences,
    fields,
    photos,
  };
  return { text: writeDocument(head, tables), photos, close };
}

/** Where a document and its photos go: a folder for both, or a file with a folder beside it. */
function placesOf(to: string): { file: string; photos: string } {
  return extname(to) === '.json' ? documentPlaces(to) : documentPlaces(join(to, 'operation.json'));
}

/** The photos of a document stand beside it, under its name. */
function documentPlaces(file: string): { file: string; photos: string } {
  return { file, photos: join(dirname(file), `${basename(file, '.json')}-photos`) };
}

function writeText(file: string, text: Iterable<string>): void {
  const part = `${file}.part`;
  const handle = openSync(part, 'w', 0o600);
  try {
    let held = '';
    for (const piece of text) {
      held += piece;
      if (held.length < 65_536) continue;
      writeSync(handle, held);
      held = '';
    }
    writeSync(handle, held);
  } finally {
    closeSync(handle);
  }
  renameSync(part, file);
}

/** Writes a whole operation as one document with its photos beside it. Gives the place of the document. */
export function exportOperation(path: string, to: string, hasWeather: boolean, at: Date): string {
  const places = placesOf(to);
  mkdirSync(dirname(places.file), { recursive: true });
  const { text, photos, close } = documentOf(path, hasWeather, at);
  try {
    copyPhotos(photos, ({ name }) => join(photosFolder(path), name), places.photos);
    writeText(places.file, text);
    return places.file;
  } finally {
    close();
    rmSync(`${places.file}.part`, { force: true });
  }
}

/** Text of a file in pieces. Throws a DocumentFault where it is not UTF-8. */
export function* fileText(path: string): Generator<string> {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  const handle = openSync(path, 'r');
  const bytes = Buffer.alloc(65_536);
  try {
    for (;;) {
      const count = readSync(handle, bytes);
      try {
        yield decoder.decode(bytes.subarray(0, count), { stream: count > 0 });
      } catch {
        throw new DocumentFault(
          'The file is not UTF-8 text; it is damaged, or no document of this program.',
        );
      }
      if (count === 0) return;
    }
  } finally {
    closeSync(handle);
  }
}

const nounOfKind = Object.fromEntries(
  Object.entries(libraryKinds).map(([noun, kind]) => [kind, noun as LibraryNoun]),
);

/** What the forms would refuse of a whole operation that came in by a file. */
function operationProblems(store: Store): Problem[] {
  const published = loadLibrary();
  const library = store.libraryWithOwnRows(published);
  const own = store.overrides().flatMap(({ kind, key }): Problem[] => {
    const noun = nounOfKind[kind];
    const rows: { key: string }[] = library[kind];
    const row = rows.find((one) => one.key === key);
    return noun && row
      ? ownRowProblems(library, noun, row as never).map((problem) => ({
          ...problem,
          message: `${noun} ${key}: ${problem.message}`,
        }))
      : [];
  });
  const entries = store.inOneTransaction(() =>
    store.worklog.list().flatMap(({ id }): Problem[] => {
      const same = store.worklog.correct(id, { entry: {}, detail: {} }, null, published);
      const named = (problem: Problem) => ({
        ...problem,
        message: `entry ${id}: ${problem.message}`,
      });
      return same.ok ? [] : same.problems.map(named);
    }),
  );
  return [...store.rowProblems(published), ...own, ...entries];
}

/** Opens a fresh database and asks of every row whether it is sound; a row that can not even be read is a problem. */
function problemsIn(path: string): Problem[] {
  const store = openStore(path, () => new Date());
  try {
    return operationProblems(store);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return [{ code: 'document-row', message: `A row is not what it should be: ${why}` }];
  } finally {
    store.close();
  }
}

/**
 * Makes a database at `fresh` from the text of a document. All or nothing: with problems no file is left. `photosIn` is
 * the folder that should hold its photos. `isAsItStands`: rows that the forms would refuse are taken all the same.
 */
export function freshFrom(
  fresh: string,
  text: Iterable<string>,
  photosIn: string,
  isAsItStands = false,
): { photos: PhotoFile[]; problems: Problem[] } {
  const drop = () => {
    for (const end of ['', '-journal', '-wal', '-shm']) rmSync(`${fresh}${end}`, { force: true });
  };
  drop();
  const refused = (problems: Problem[]) => {
    drop();
    return { photos: [], problems };
  };
  try {
    const { photos } = buildDatabase(fresh, readDocument(text));
    verifyDatabase(fresh);
    const fault = photoFault(photos, ({ name }) => join(photosIn, name));
    const message = `${fault}. Put the folder ${photosIn} beside the document again.`;
    if (fault !== null) return refused([{ code: 'document-photo', message }]);
    const problems = isAsItStands ? [] : problemsIn(fresh);
    return problems.length > 0 ? refused(problems) : { photos, problems: [] };
  } catch (error) {
    const isDocument = error instanceof DocumentFault || error instanceof DocumentMisfit;
    if (!isDocument && !(error instanceof Error && error.message.startsWith('It was written by'))) {
      drop();
      throw error;
    }
    return refused([{ code: 'document', message: (error as Error).message }]);
  }
}

/** True when a database holds land: then a document takes its place only when that is asked for. */
function holdsLand(path: string): boolean {
  if (!existsSync(path) || statSync(path).size === 0) return false;
  const store = openStore(path, () => new Date());
  try {
    return store.landContent().properties.length > 0;
  } finally {
    store.close();
  }
}

/** What came of an import; `aside` = where the database before is kept. */
export type ImportAnswer =
  | { ok: true; aside: string | null; photoCount: number }
  | { ok: false; problems: Problem[] };

/** Puts the operation of a document in the place of a database that no server has open. All or nothing. */
export function importOperation(
  file: string,
  path: string,
  { isReplacing, isAsItStands }: { isReplacing: boolean; isAsItStands: boolean },
  at: Date,
): ImportAnswer {
  if (!existsSync(file)) throw new Error(`There is no file ${file}.`);
  mkdirSync(dirname(path), { recursive: true });
  const unlock = lockForServer(path);
  const fresh = `${path}.importing`;
  try {
    if (!isReplacing && holdsLand(path)) {
      const message = `The database ${path} holds land already. With --replace the document takes its place, and the present file is kept aside.`;
      return { ok: false, problems: [{ code: 'document-land', message }] };
    }
    const photosIn = documentPlaces(file).photos;
    const { photos, problems } = freshFrom(fresh, fileText(file), photosIn, isAsItStands);
    if (problems.length > 0) return { ok: false, problems };
    copyPhotos(photos, ({ name }) => join(photosIn, name), photosFolder(path));
    return { ok: true, aside: putInPlace(fresh, path, at), photoCount: photos.length };
  } finally {
    unlock();
  }
}

async function runExport(args: string[]): Promise<number> {
  const { values, flags, files } = readArguments(args, ['db', 'to'], ['weather']);
  if (files.length > 0) throw new UsageError('export takes no file; name a place with --to.');
  const path = readRequired(values, 'db');
  if (!existsSync(path)) throw new Error(`There is no database ${path}. Check --db.`);
  const to = readRequired(values, 'to');
  const file = exportOperation(path, to, flags.has('weather'), new Date());
  process.stdout.write(
    `The whole operation was written to ${file}. Keep it as you keep the database: it holds names, addresses and hashes of passwords.\n`,
  );
  return exitDone;
}

export const exportVerb: Verb = {
  name: 'export',
  summary: 'the whole operation as one JSON document, with its photos beside it',
  help: `
Usage: node dist/cli/main.js export --db FILE --to PLACE [--weather]

  --db FILE    the database, also while the server runs
  --to PLACE   a folder, which gets operation.json and operation-photos; or a file that ends in .json
  --weather    with weather histories and forecasts (large; they can be loaded from their own files again)

The document is described in DEVELOPERS.md. The verb import reads it.
`,
  run: runExport,
};

async function runImport(args: string[]): Promise<number> {
  const { values, flags, files } = readArguments(args, ['db'], ['replace', 'as-it-stands']);
  const [file] = files;
  if (!file || files.length > 1) throw new UsageError('Name one document to import.');
  const path = readRequired(values, 'db');
  const answer = importOperation(
    file,
    path,
    { isReplacing: flags.has('replace'), isAsItStands: flags.has('as-it-stands') },
    new Date(),
  );
  if (!answer.ok) {
    printProblems(answer.problems.slice(0, problemsMost));
    const rest = answer.problems.length - problemsMost;
    if (rest > 0) process.stderr.write(`and ${rest} more\n`);
    process.stderr.write('Nothing was changed.\n');
    return exitProblems;
  }
  const kept = answer.aside ? ` The file before is kept as ${answer.aside}.` : '';
  process.stdout.write(
    `${file} was imported into ${path} with ${answer.photoCount} photos.${kept}\n`,
  );
  return exitDone;
}

/** Problems that the verb prints. */
const problemsMost = 50;

export const importVerb: Verb = {
  name: 'import',
  summary: 'a document of the verb export in the place of a database; all or nothing',
  help: `
Usage: node dist/cli/main.js import DOCUMENT --db FILE [--replace] [--as-it-stands]

  DOCUMENT    operation.json with its folder of photos beside it
  --db FILE   the database; stop the server first
  --replace   take the place of land that is there; the present file is kept aside
  --as-it-stands   also rows that a form would refuse today, such as those of an older version
`,
  run: runImport,
};
