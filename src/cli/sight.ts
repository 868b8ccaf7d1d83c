import type { SignedIn } from '../core/accounts.ts';
import type { Operation } from '../core/operation.ts';
import { restrictedTo, type Sight, sightOf } from '../core/restricted.ts';
import type { OperationFile } from './operation-file.ts';
import { currentPerson } from './person.ts';

/** What the person whose request is under way may see; null = everything. */
export type CurrentSight = () => Sight | null;

const keyOf = ({ role, propertyIds }: SignedIn) => JSON.stringify([role, propertyIds]);

/** Sights by what people are limited to, worked out again only after a write. */
export function sightOfRequest(file: OperationFile): CurrentSight {
  let known: { revision: number; sights: Map<string, Sight | null> } | null = null;
  return () => {
    const person = currentPerson();
    if (person === null || person.propertyIds === null) return null;
    const revision = file.store.revision();
    if (known?.revision !== revision) known = { revision, sights: new Map() };
    const key = keyOf(person);
    const found = known.sights.get(key);
    if (found !== undefined) return found;
    const sight = sightOf(file.store.landContent(), person);
    known.sights.set(key, sight);
    return sight;
  };
}

/** The snapshot as the person may see it, made once for a snapshot and a sight. */
export function operationInSight(operation: () => Operation, sight: CurrentSight) {
  const kept = new WeakMap<Operation, Map<Sight, Operation>>();
  return (): Operation => {
    const whole = operation();
    const own = sight();
    if (own === null) return whole;
    const ofWhole = kept.get(whole) ?? new Map<Sight, Operation>();
    kept.set(whole, ofWhole);
    const found = ofWhole.get(own) ?? restrictedTo(whole, own);
    ofWhole.set(own, found);
    return found;
  };
}
