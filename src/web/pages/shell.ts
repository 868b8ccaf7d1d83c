import type { IsoDate } from '../../core/dates.ts';
import type { Property } from '../../core/properties.ts';
import type { Deps } from '../deps.ts';
import { date } from '../words.ts';

/** The one line of navigation; `More` holds the rest. */
export const navigation = [
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
  /** The operation is the sample land: a note and two buttons say so. */
  isSample: boolean;
}

/** The layout's data for a page; every page model carries it as `shell`. */
export function shellOf(deps: Deps, nav: NavigationKey, title: string): Shell {
  const { properties } = deps.operation();
  const names = properties.map((property) => property.name);
  const propertyNote =
    names.length > 3 ? `${names.length} properties` : names.join(' · ') || 'no land yet';
  const plan = deps.plans.inForce();
  return {
    nav,
    title,
    propertyNote,
    planNote: plan ? `plan ${plan.id}, made ${date(plan.content.madeOn)}` : '',
    isSample: properties.some((property) => property.isSample),
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
