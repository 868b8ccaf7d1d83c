import { isAtLeast, type Role, type SignedIn } from '../../core/accounts.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Property } from '../../core/properties.ts';
import type { Deps } from '../deps.ts';
import { date } from '../words.ts';

/** The one line of navigation; `More` holds the rest. */
const navigation = [
  { key: 'today', name: 'Today', path: '/' },
  { key: 'year', name: 'Year', path: '/year' },
  { key: 'units', name: 'Units', path: '/units' },
  { key: 'crew-days', name: 'Crew days', path: '/crew-days' },
  { key: 'plan', name: 'Plan', path: '/plan' },
  { key: 'burn-days', name: 'Burn days', path: '/burn-days' },
  { key: 'worklog', name: 'Work log', path: '/worklog' },
  { key: 'feeds', name: 'Feeds', path: '/feeds' },
  { key: 'more', name: 'More', path: '/more' },
] as const;

export type NavigationKey = (typeof navigation)[number]['key'];

/** What the layout shows around every page. */
export interface Shell {
  nav: NavigationKey;
  /** The page's question. */
  title: string;
  /** Names of the properties, said under the navigation. */
  propertyNote: string;
  /** Number and day of the plan in force, for the title block of a print; empty without one. */
  planNote: string;
  /** Pages that the person may open. */
  links: { key: NavigationKey; name: string; path: string }[];
  /** Name of who is signed in; empty without accounts. */
  person: string;
  /** The role allows to log work, and to change land and plans: parts of pages that are for that alone are left out. */
  mayLog: boolean;
  mayPlan: boolean;
  /** The operation is the sample land: a note and two buttons say so. */
  isSample: boolean;
}

/** Own land and how it does: the pages of a landowner, who plans and logs nothing. */
const landownerKeys: readonly NavigationKey[] = ['year', 'units'];

function linksFor(person: SignedIn | null): Shell['links'] {
  if (person?.role === 'landowner') {
    const own = navigation.filter(({ key }) => landownerKeys.includes(key));
    return [...own, { key: 'more', name: 'Reports', path: '/reports' }];
  }
  return navigation.filter(({ key }) => key !== 'plan' || mayAtLeast(person, 'planner'));
}

const mayAtLeast = (person: SignedIn | null, least: Role) =>
  person === null || isAtLeast(person.role, least);

/** What hangs on who is signed in. */
function personPart(person: SignedIn | null): Pick<Shell, 'person' | 'mayLog' | 'mayPlan'> {
  return {
    person: person?.name ?? '',
    mayLog: mayAtLeast(person, 'crew-lead'),
    mayPlan: mayAtLeast(person, 'planner'),
  };
}

/** The frame of a page that asks nothing of the land: where somebody signs in, and what went wrong. */
export function bareShell(title: string, person: SignedIn | null, isIn = true): Shell {
  return {
    nav: 'more',
    title,
    propertyNote: '',
    planNote: '',
    links: isIn ? linksFor(person) : [],
    ...personPart(person),
    isSample: false,
  };
}

/** The layout's data for a page; every page model carries it as `shell`. */
export function shellOf(deps: Deps, nav: NavigationKey, title: string): Shell {
  const { properties } = deps.operation();
  const names = properties.map((property) => property.name);
  const propertyNote =
    names.length > 3 ? `${names.length} properties` : names.join(' · ') || 'no land yet';
  const plan = deps.plans.inForce();
  const person = deps.access.current();
  return {
    nav,
    title,
    propertyNote,
    planNote: plan ? `plan ${plan.id}, made ${date(plan.content.madeOn)}` : '',
    links: linksFor(person),
    ...personPart(person),
    isSample:
      mayAtLeast(person, 'administrator') && properties.some((property) => property.isSample),
  };
}

/** Today at a property; where there is none yet, in UTC. */
export function todayAt(deps: Deps, property: Property | undefined): IsoDate {
  return deps.today(property?.timeZone ?? 'UTC');
}

/** Today as pages about all properties say it: at the first one. */
export function todayOf(deps: Deps): IsoDate {
  return todayAt(deps, deps.operation().properties[0]);
}
