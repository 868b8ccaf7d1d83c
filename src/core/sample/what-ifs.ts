import { addDays, firstDayIn, type IsoDate, monthDay, yearOf } from '../dates.ts';
import type { WhatIf } from '../what-if.ts';

/** What-ifs to look at: a measure for the others, one that can be adopted, one that is only supposed. Not searched yet. */
export function sampleWhatIfs(
  contractCrewId: number,
  today: IsoDate,
): Pick<WhatIf, 'name' | 'changes'>[] {
  const thisDecember = firstDayIn(yearOf(today), monthDay('12-07'));
  const from =
    thisDecember > today ? thisDecember : firstDayIn(yearOf(today) + 1, monthDay('12-07'));
  return [
    { name: 'As it is now', changes: [] },
    {
      name: 'Two more weeks of the saw crew',
      changes: [
        {
          kind: 'crew-weeks',
          crewId: contractCrewId,
          isThere: true,
          from,
          until: addDays(from, 11),
        },
      ],
    },
    { name: 'A poor season for burns', changes: [{ kind: 'fit-days', percent: 70 }] },
  ];
}
