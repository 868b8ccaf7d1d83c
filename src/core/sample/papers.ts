import type { Block } from '../blocks.ts';
import type { BurnPaper } from '../burn-papers.ts';
import { addDays, type IsoDate } from '../dates.ts';
import type { Unit } from '../units.ts';

/** Papers lie in the table of the other records, after all of them. */
const firstPaperId = 501;

/** What was said of the burn of Saddle up to now: neighbors told, a fit day let go by. */
export function samplePapers(
  blocks: readonly Block[],
  units: readonly Unit[],
  today: IsoDate,
): BurnPaper[] {
  const block = blocks.find(({ code }) => code === 'N2');
  if (!block) return [];
  const base = {
    blockId: block.id,
    unitIds: units.filter(({ blockId }) => blockId === block.id).map(({ id }) => id),
    burnKey: `block:${block.id}/${block.sequenceKey}/burn/${block.firstCycle}/-`,
    by: 'Tess Arden',
  };
  return [
    {
      ...base,
      id: firstPaperId,
      kind: 'step',
      stepKey: 'neighbors',
      isNeeded: true,
      toWhom: 'Ash Corrin, north side, by phone',
      note: '',
      on: addDays(today, -6),
      at: '18:20',
    },
    {
      ...base,
      id: firstPaperId + 1,
      kind: 'fit-day-not-used',
      day: addDays(today, -8),
      reason: 'people',
      on: addDays(today, -7),
      at: '07:40',
    },
  ];
}
