import { type ChildProcess, fork } from 'node:child_process';

/** Gives the newest of what a child wrote to standard error. */
export function keepErrors(child: ChildProcess): () => string {
  let text = '';
  child.stderr?.on('data', (chunk: Buffer) => {
    text = (text + chunk.toString()).slice(-2000);
  });
  return () => text;
}

/** The compiled child beside the compiled parent, the source beside the source (development and tests). */
export function forkChild(name: 'child' | 'bound-child' | 'planning-child'): ChildProcess {
  const isSource = import.meta.url.endsWith('.ts');
  const file = new URL(isSource ? `./${name}.ts` : `./${name}.js`, import.meta.url);
  return fork(file, {
    stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
    serialization: 'advanced',
    ...(isSource ? { execArgv: ['--import', 'tsx'] } : {}),
  });
}

/** The line of a stack trace that says what went wrong. */
export function lastLine(text: string): string | null {
  const lines = text.split('\n').filter((line) => line.trim() !== '');
  return lines.find((line) => /Error\b/.test(line)) ?? lines.at(-1) ?? null;
}
