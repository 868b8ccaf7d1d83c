import type { Store } from '../storage/store.ts';

const dayMs = 24 * 60 * 60 * 1000;

/**
 * Forgets at the start and each day what was removed longer ago than it is kept. One that fails, such as on a full disk,
 * is said on standard error and tried again the next day. Gives what ends it.
 */
export function keepLogShort({ changeLog }: Store): () => void {
  const purge = (): void => {
    try {
      changeLog.purge();
    } catch (error) {
      process.stderr.write(`Removed rows were not forgotten yet: ${error}\n`);
    }
  };
  purge();
  const timer = setInterval(purge, dayMs);
  timer.unref();
  return () => clearInterval(timer);
}
