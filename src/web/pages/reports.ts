import { burningSeasonName, burningSeasonOf } from '../../core/seasons.ts';
import type { Deps } from '../deps.ts';
import { mayCall } from '../route-access.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

interface Link {
  name: string;
  path: string;
}

export interface ReportsPage {
  shell: Shell;
  hasLand: boolean;
  /** Newest first; none where the person may see none. */
  seasons: { name: string; links: Link[] }[];
  owners: { name: string; links: Link[] }[];
  units: Link[];
}

/** Seasons back from the present one that the page lists. */
const seasonsListed = 4;

/** The reports there are. */
export function reportsPage(deps: Deps): ReportsPage {
  const { properties, landowners, units } = deps.operation();
  const [first] = properties;
  const present = first ? burningSeasonOf(todayAt(deps, first), first.burningSeasonStart) : null;
  // A landowner has letters and ledgers of their own land only.
  const maySee = mayCall(deps.access.current(), 'GET', '/reports/season');
  const seasons =
    present === null || !maySee
      ? []
      : Array.from({ length: seasonsListed }, (_, at) => present - at);
  const owners = landowners.filter(({ id }) => properties.some((one) => one.landownerId === id));
  const letter = (owner: number, season: number, when: 'before' | 'after'): Link => ({
    name: `${when === 'before' ? 'before' : 'after'} ${burningSeasonName(season)}`,
    path: `/reports/letter?owner=${owner}&season=${season}&when=${when}`,
  });
  return {
    shell: shellOf(deps, 'more', 'What can be reported?'),
    hasLand: properties.length > 0,
    seasons: seasons.map((season) => ({
      name: burningSeasonName(season),
      links: [
        { name: 'all properties', path: `/reports/season?season=${season}` },
        ...(properties.length < 2 ? [] : properties).map(({ id, name }) => ({
          name,
          path: `/reports/season?season=${season}&property=${id}`,
        })),
      ],
    })),
    owners: owners.map(({ id, name }) => ({
      name,
      links:
        present === null
          ? []
          : [
              letter(id, present, 'before'),
              letter(id, present, 'after'),
              letter(id, present - 1, 'after'),
            ],
    })),
    units: units.map(({ id, code, name }) => ({
      name: `${code} ${name}`.trim(),
      path: `/units/${id}/ledger`,
    })),
  };
}
