import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** The day that tests and pictures take for today. */
export const today = '2026-11-25';

const mainFile = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));

/** What a call of the built program left behind. */
export interface Ended {
  code: number | null;
  out: string;
  err: string;
}

function start(args: string[]): ChildProcess & { out: () => string; err: () => string } {
  if (!existsSync(mainFile)) throw new Error('The program is not built: npm run build');
  const child = spawn(process.execPath, [mainFile, ...args], { stdio: ['ignore', 'pipe', 'pipe'] });
  let [out, err] = ['', ''];
  child.stdout?.setEncoding('utf8').on('data', (text: string) => {
    out += text;
  });
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    err += text;
  });
  return Object.assign(child, { out: () => out, err: () => err });
}

/** Runs the built program to its end. */
export async function runProgram(...args: string[]): Promise<Ended> {
  const child = start(args);
  const [code] = (await once(child, 'close')) as [number | null];
  return { code, out: child.out(), err: child.err() };
}

/** Makes a database of the sample land with a plan in force, by the command line. */
export async function makeSampleDatabase(path: string): Promise<void> {
  const calls = [
    ['demo', '--db', path, '--today', today],
    ['plan', '--db', path, '--today', today, '--iterations', '2000', '--adopt'],
  ];
  for (const call of calls) {
    const ended = await runProgram(...call);
    if (ended.code !== 0) throw new Error(`${call.join(' ')}: ${ended.out}${ended.err}`);
  }
}

/** The built program answering on a port of its own. */
export interface RunningServer {
  url: string;
  /** Ends it as Ctrl+C does; gives the exit code. */
  stop(): Promise<number | null>;
  /** Ends it as a power cut does. */
  kill(): Promise<void>;
}

/** Starts the built program on a database and waits until it says its address. */
export async function startServer(path: string): Promise<RunningServer> {
  const child = start(['serve', '--db', path, '--port', '0', '--today', today]);
  const closed = once(child, 'close') as Promise<[number | null]>;
  const url = await new Promise<string>((resolve, reject) => {
    child.stdout?.on('data', () => {
      const found = /http:\/\/[^\s]+/.exec(child.out())?.[0];
      if (found) resolve(found);
    });
    child.on('close', () => reject(new Error(`The program ended: ${child.out()}${child.err()}`)));
  });
  const end = async (signal: NodeJS.Signals): Promise<number | null> => {
    child.kill(signal);
    return (await closed)[0];
  };
  return {
    url,
    stop: () => end('SIGTERM'),
    kill: async () => {
      await end('SIGKILL');
    },
  };
}
