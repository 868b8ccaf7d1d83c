import type { IsoDate } from './dates.ts';
import type { TaskIdentity } from './tasks.ts';

/** One step of a block's unrolled sequence and where it stands. */
export interface ChainStep extends TaskIdentity {
  name: string;
  /** First = default treatment, others its modes. */
  treatmentKeys: string[];
  areaAcres: number;
  standing: 'done' | 'partly-done' | 'under-way' | 'not-possible' | 'skipped' | 'to-do';
  /** Last day of the fact that answered it. */
  doneOn: IsoDate | null;
}
