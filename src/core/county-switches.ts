import { type IsoDate, isoDate, toDay } from './dates.ts';

export const countySwitchKinds = ['burn-ban', 'red-flag', 'drought-stop'] as const;
export type CountySwitchKind = (typeof countySwitchKinds)[number];

/** What somebody found out about a county, and when. */
export interface CountySwitch {
  id: number;
  state: string;
  county: string;
  kind: CountySwitchKind;
  isOn: boolean;
  /** Day since which it is on or off; null = not known. */
  since: IsoDate | null;
  checkedBy: string;
  /** UTC, `YYYY-MM-DDTHH:MM:SSZ`. */
  checkedAt: string;
  note: string;
}

/** Older than this it says nothing of today. */
export const switchGoodHours = 12;

/** How a switch of a county stands now. Only `off` leaves a burn ready. */
export interface SwitchStanding {
  kind: CountySwitchKind;
  state: 'off' | 'on' | 'old' | 'never-checked';
  newest: CountySwitch | null;
  hoursOld: number | null;
}

/** Hours since 1970 of a UTC instant. */
function hoursOf(instant: string): number {
  const [hours = 0, minutes = 0, seconds = 0] = instant.slice(11, 19).split(':').map(Number);
  return toDay(isoDate(instant.slice(0, 10))) * 24 + hours + minutes / 60 + seconds / 3600;
}

/** Standing of each kind of switch for a county at an instant, UTC. A switch that is on stays on until checked again. */
export function switchStandings(
  switches: readonly CountySwitch[],
  place: { state: string; county: string },
  now: string,
): SwitchStanding[] {
  return countySwitchKinds.map((kind) => {
    const newest = switches
      .filter(
        (one) => one.kind === kind && one.state === place.state && one.county === place.county,
      )
      .reduce<CountySwitch | null>(
        (last, one) =>
          last === null ||
          one.checkedAt > last.checkedAt ||
          (one.checkedAt === last.checkedAt && one.id > last.id)
            ? one
            : last,
        null,
      );
    if (!newest) return { kind, state: 'never-checked', newest, hoursOld: null };
    const hoursOld = hoursOf(now) - hoursOf(newest.checkedAt);
    const state = newest.isOn ? 'on' : hoursOld > switchGoodHours ? 'old' : 'off';
    return { kind, state, newest, hoursOld };
  });
}
