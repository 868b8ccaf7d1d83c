import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { copyFileSync, existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { today } from './server.ts';

const mainFile = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));

/** A running server that a fault is done to. */
export interface HeldServer {
  url: string;
  pid: number;
  /** All that it wrote to standard error. */
  errors(): string;
  kill(signal: NodeJS.Signals): Promise<number | null>;
}

export interface Hold {
  /** Largest file that it may write, in kilobytes: a disk that is full for it alone. */
  fileKilobytes?: number;
  /** User and group that it runs as; only root can ask for others. */
  userId?: number;
}

/** Runs a verb of the built program under a hold. */
export function spawnHeld(args: readonly string[], { fileKilobytes, userId }: Hold = {}) {
  // A process whose signal of too large a file is ignored gets an error of the write in its place (setrlimit(2)).
  const limit = fileKilobytes ? `trap '' XFSZ; ulimit -S -f ${fileKilobytes}; ` : '';
  const program = ['-c', `${limit}exec "$0" "$@"`, process.execPath, mainFile, ...args];
  return spawn('bash', program, {
    stdio: ['ignore', 'pipe', 'pipe'],
    ...(userId === undefined ? {} : { uid: userId, gid: userId }),
  });
}

/** Runs a verb to its end. */
export async function runHeld(args: readonly string[], hold: Hold = {}) {
  const child = spawnHeld(args, hold);
  let said = '';
  for (const stream of [child.stdout, child.stderr])
    stream?.on('data', (chunk: Buffer) => {
      said += chunk.toString();
    });
  const [code] = (await once(child, 'close')) as [number | null];
  return { code, said };
}

/** Starts the server and waits for its address; throws with what it said when it ends before. */
export async function serveHeld(path: string, hold: Hold = {}): Promise<HeldServer> {
  const child = spawnHeld(['serve', '--db', path, '--port', '0', '--today', today], hold);
  let [out, err] = ['', ''];
  child.stderr?.on('data', (chunk: Buffer) => {
    err += chunk.toString();
  });
  const closed = once(child, 'close') as Promise<[number | null]>;
  const url = await new Promise<string>((resolve, reject) => {
    child.stdout?.on('data', (chunk: Buffer) => {
      out += chunk.toString();
      const found = /http:\/\/\S+/.exec(out)?.[0];
      if (found) resolve(found);
    });
    child.once('close', () => reject(new Error(`${out}${err}`)));
  });
  return {
    url,
    pid: child.pid as number,
    errors: () => err,
    kill: async (signal) => {
      child.kill(signal);
      return (await closed)[0];
    },
  };
}

/** Gives a held server its space back. */
export function liftFileLimit(pid: number): void {
  execFileSync('prlimit', ['--pid', String(pid), '--fsize=unlimited']);
}

export const childrenOf = (pid: number): number[] =>
  readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8')
    .trim()
    .split(' ')
    .filter((one) => one !== '')
    .map(Number);

export function postForm(
  url: string,
  path: string,
  fields: Record<string, string>,
): Promise<Response> {
  const body = new URLSearchParams(fields);
  return fetch(new URL(path, url), { method: 'POST', body, redirect: 'manual' });
}

/** An entry of the work log that is told by its note. */
export function entryFields(note: string): Record<string, string> {
  return {
    taskKey: '',
    treatmentKey: 'mowing',
    doneOn: today,
    outcome: 'partly',
    areaAcres: '0.5',
    crewDays: '',
    shareBlackPercent: '',
    signedOutOn: '',
    reason: 'the rest stands',
    note,
  };
}

/** What a start would find, from a copy of the files as they lie: faults of the file, and notes in it. */
export function lookInto(path: string, copy: string): { faults: unknown[]; notes: Set<string> } {
  for (const end of ['', '-wal']) if (existsSync(path + end)) copyFileSync(path + end, copy + end);
  const db = new Database(copy);
  try {
    const integrity = db.pragma('integrity_check') as { integrity_check: string }[];
    const faults = [
      ...integrity.filter((row) => row.integrity_check !== 'ok'),
      ...(db.pragma('foreign_key_check') as unknown[]),
    ];
    const notes = db.prepare<[], string>('SELECT note FROM work_entry').pluck().all();
    return { faults, notes: new Set(notes) };
  } finally {
    db.close();
  }
}

/** Writers that post entries until `isOver`, each acknowledged note added to `answered`. */
export function writeEntries(
  url: string,
  name: string,
  writers: number,
  isOver: () => boolean,
  answered: string[],
): Promise<unknown> {
  const write = async (writer: number): Promise<void> => {
    for (let at = 0; !isOver(); at++) {
      const note = `${name} writer ${writer} entry ${at}`;
      const path = `/units/${1 + ((writer + at) % 8)}/entries`;
      const answer = await postForm(url, path, entryFields(note)).catch(() => null);
      if (answer === null) return;
      if (answer.status !== 303) throw new Error(`${note}: ${answer.status}`);
      answered.push(note);
    }
  };
  return Promise.all(Array.from({ length: writers }, (_, writer) => write(writer)));
}
