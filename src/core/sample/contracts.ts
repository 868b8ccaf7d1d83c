import type { CostShareContract } from '../contracts.ts';
import { addDays, addYears, type IsoDate } from '../dates.ts';
import type { Unit } from '../units.ts';
import { pastDays } from './history.ts';

/** Numbers of the sample's contracts and own rates: past those of the other rows in their table. */
const firstId = 801;

/**
 * Two invented contracts: one under way, whose first felling began before it was approved, and one that waits for its
 * approval.
 */
export function sampleContracts(units: readonly Unit[], today: IsoDate): CostShareContract[] {
  const day = pastDays(today);
  const unitOf = (code: string) => units.find((unit) => unit.code === code)!;
  const approvedOn = day(0, '02-01');
  const onContract = (code: string, acresOff: number) => {
    const { id: unitId, areaAcres } = unitOf(code);
    return { unitId, contractAcres: Math.round((areaAcres - acresOff) * 10) / 10 };
  };
  return [
    {
      id: firstId,
      propertyId: 1,
      landownerId: 1,
      program: 'County savanna share',
      number: 'S-217',
      appliedOn: addDays(approvedOn, -120),
      approvedOn,
      firstPracticeDueOn: addYears(approvedOn, 1),
      endsOn: addYears(approvedOn, 4),
      practices: [
        {
          number: '314',
          name: 'Brush management',
          treatmentKeys: ['cedar-felling'],
          units: [onContract('N3', 0.5), onContract('N4', 1.2), onContract('N7', 0)],
          plannedBy: addYears(approvedOn, 2),
          paymentUsd: 185,
          paymentBasis: 'acre',
        },
        {
          number: '338',
          name: 'Prescribed burning',
          treatmentKeys: ['dormant-burn', 'late-season-burn'],
          units: [onContract('N4', 1.2), onContract('N7', 0)],
          plannedBy: addYears(approvedOn, 3),
          paymentUsd: 38,
          paymentBasis: 'acre',
        },
      ],
      note: 'County program office, by phone on weekdays.',
    },
    {
      id: firstId + 1,
      propertyId: 2,
      landownerId: 2,
      program: 'Prairie share',
      number: '',
      appliedOn: addDays(today, -60),
      approvedOn: null,
      firstPracticeDueOn: null,
      endsOn: null,
      practices: [
        {
          number: '528',
          name: 'Grass kept by fire',
          treatmentKeys: ['dormant-burn'],
          units: [onContract('P2', 0.8), onContract('P5', 0)],
          plannedBy: null,
          paymentUsd: null,
          paymentBasis: 'acre',
        },
      ],
      note: '',
    },
  ];
}
