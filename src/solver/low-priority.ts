import { constants, setPriority } from 'node:os';

/** Puts this process below everything else on the machine; where that is not allowed it runs as it is. */
export function lowerPriority(): void {
  try {
    setPriority(constants.priority.PRIORITY_LOW);
  } catch {
    // Some hosts forbid it; the search still works.
  }
}
