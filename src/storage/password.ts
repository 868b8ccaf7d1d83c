import { randomBytes, type ScryptOptions, scrypt, timingSafeEqual } from 'node:crypto';
import { normalPassword } from '../core/accounts.ts';

/** Cost as powers of two and counts: OWASP ASVS 4.0.3 item 2.4.6 asks for at least 2^16, 8 and 1. */
const cost = { log2N: 16, r: 8, p: 1 };
const keyBytes = 32;

/** Each hash takes 64 MiB for about a fifth of a second; more at a time would starve a small machine. */
const atOnceMost = 2;
/** Who comes when this many wait is told to come again. */
const waitingMost = 32;

let running = 0;
const waiting: (() => void)[] = [];

/** Thrown when too many sign in at once. */
export class TooManyHashes extends Error {
  readonly statusCode = 503;
}

/** Runs outside the event loop, a few at a time. */
async function derive(password: string, salt: Buffer, { log2N, r, p }: typeof cost) {
  if (running >= atOnceMost) {
    if (waiting.length >= waitingMost) throw new TooManyHashes('too many sign in at once');
    await new Promise<void>((resolve) => waiting.push(resolve));
  }
  running += 1;
  try {
    const N = 2 ** log2N;
    const options: ScryptOptions = { N, r, p, maxmem: 256 * N * r };
    return await new Promise<Buffer>((resolve, reject) => {
      scrypt(normalPassword(password), salt, keyBytes, options, (error, key) =>
        error ? reject(error) : resolve(key),
      );
    });
  } finally {
    running -= 1;
    waiting.shift()?.();
  }
}

/** A password to keep: `scrypt$log2N$r$p$salt$key`, salt and key in base64url. */
export async function hashPassword(password: string): Promise<string> {
  const salt = randomBytes(16);
  const key = await derive(password, salt, cost);
  const { log2N, r, p } = cost;
  return ['scrypt', log2N, r, p, salt.toString('base64url'), key.toString('base64url')].join('$');
}

/** Of no password; checked where there is no account, so that the answer takes as long. */
const hashOfNothing = `scrypt$16$8$1$${'A'.repeat(22)}$${'A'.repeat(43)}`;

/** True when the password is the one that was kept; null = there is none, and the answer is no, in the same time. */
export async function isPassword(password: string, kept: string | null): Promise<boolean> {
  const [, log2N, r, p, salt = '', key = ''] = (kept ?? hashOfNothing).split('$');
  const own = { log2N: Number(log2N), r: Number(r), p: Number(p) };
  const wanted = Buffer.from(key, 'base64url');
  const found = await derive(password, Buffer.from(salt, 'base64url'), own);
  return kept !== null && timingSafeEqual(found, wanted);
}
