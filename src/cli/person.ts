import { AsyncLocalStorage } from 'node:async_hooks';
import type { SignedIn } from '../core/accounts.ts';

/**
 * Who the code under way works for. A request of a signed-in person runs inside; verbs, the planning child and
 * everything in the background run outside and are nobody's.
 */
const people = new AsyncLocalStorage<SignedIn | null>();

/** The person whose request is under way; null without accounts, and for what the program does by itself. */
export function currentPerson(): SignedIn | null {
  return people.getStore() ?? null;
}

/** Runs a request, and all that it calls or waits for, for a person; null = for nobody in particular. */
export function runAs<T>(person: SignedIn | null, run: () => T): T {
  return people.run(person, run);
}
