import { createInterface } from 'node:readline/promises';
import { Writable } from 'node:stream';
import { UsageError } from './arguments.ts';

/** Asks on the terminal without showing what is typed. */
async function askHidden(question: string): Promise<string> {
  process.stderr.write(question);
  const silent = new Writable({ write: (_chunk, _encoding, done) => done() });
  const lines = createInterface({ input: process.stdin, output: silent, terminal: true });
  try {
    return await lines.question('');
  } finally {
    lines.close();
    process.stderr.write('\n');
  }
}

async function firstLine(): Promise<string> {
  let text = '';
  for await (const chunk of process.stdin.setEncoding('utf8')) {
    text += chunk;
    if (text.includes('\n') || text.length > 10_000) break;
  }
  return text.split('\n', 1)[0]?.replace(/\r$/, '') ?? '';
}

/**
 * A new password: the first line of standard input, or asked twice on the terminal. Throws UsageError where there is
 * no terminal to ask on, or the two differ. It is never an option: those stand in lists of processes.
 */
export async function readNewPassword(isFromInput: boolean): Promise<string> {
  if (isFromInput) return firstLine();
  if (!process.stdin.isTTY)
    throw new UsageError(
      'There is no terminal to ask for the password: pipe it in with --password-stdin.',
    );
  const password = await askHidden('Password: ');
  if ((await askHidden('Password again: ')) === password) return password;
  throw new UsageError('The two passwords are not the same; nothing was saved.');
}
