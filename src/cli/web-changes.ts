import type { ChangeGroup, RowChange, StoredRow } from '../core/change-log.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { currentPerson } from './person.ts';
import { changeAnswer } from './web-records.ts';

type Person = NonNullable<ReturnType<typeof currentPerson>>;

/** Facts of the field: who leads a crew writes them, and may take them back. */
const factTables = new Set([
  'work_entry',
  'work_detail',
  'work_photo',
  'entry_version',
  'county_switch',
  'go_no_go',
]);

/** Tables that only an administrator sees or changes. */
const administratorTables = new Set(['account', 'account_property', 'forecast_service', 'setting']);

const isOwn = (person: Person | null, { propertyId }: RowChange): boolean =>
  person === null ||
  person.propertyIds === null ||
  (propertyId !== null && person.propertyIds.includes(propertyId));

/** A person sees what is of their properties; what concerns all of them only who may see all. */
function maySee(person: Person | null, change: RowChange): boolean {
  if (administratorTables.has(change.table) && person && person.role !== 'administrator')
    return false;
  return isOwn(person, change);
}

function mayUndo(person: Person | null, change: RowChange): boolean {
  if (!maySee(person, change)) return false;
  if (person === null || person.role === 'administrator' || person.role === 'planner') return true;
  return person.role === 'crew-lead' && factTables.has(change.table);
}

/** A group as a person may see it; its sentence may name what is not theirs, so it stands only on a whole group. */
function seenBy(person: Person | null, group: ChangeGroup): ChangeGroup | null {
  const seesAll = person === null || person.propertyIds === null;
  if (group.rowCount === 0) return seesAll ? group : null;
  const changes = group.changes.filter((change) => maySee(person, change));
  if (changes.length === 0) return null;
  if (changes.length === group.changes.length) return group;
  return { ...group, what: '', changes, rowCount: changes.length };
}

/** The log of changes as the person of the request may see it, and changes taken back. */
export function webChanges(file: OperationFile): Deps['changeLog'] {
  const { changeLog } = file.store;
  const known = (group: ChangeGroup | null) => group && seenBy(currentPerson(), group);
  return {
    list: (filter, page) => {
      const person = currentPerson();
      const limited = person?.propertyIds ?? null;
      const asked = filter.propertyIds;
      const propertyIds =
        limited === null ? asked : limited.filter((id) => asked === null || asked.includes(id));
      const { groups, total } = changeLog.list({ ...filter, propertyIds }, page);
      return { groups: groups.flatMap((group) => seenBy(person, group) ?? []), total };
    },
    // Whoever is limited to some land is not told who works elsewhere.
    people: () => {
      const person = currentPerson();
      return person && person.propertyIds !== null ? [person.name] : changeLog.people();
    },
    group: (id) => known(changeLog.group(id)),
    change: (id) => known(changeLog.change(id)),
    present: (change): StoredRow | null => changeLog.present(change.table, change.key),
    removed: () => changeLog.removed().filter((change) => maySee(currentPerson(), change)),
    mayUndo: (changes) => changes.every((change) => mayUndo(currentPerson(), change)),
    undo: (changes, what, isSure) => {
      const person = currentPerson();
      if (!changes.every((change) => mayUndo(person, change))) {
        const message = 'Your role does not allow this: ask a planner or the administrator.';
        return { kind: 'refused', problems: [{ code: 'undo-role', message }] };
      }
      return changeAnswer(file, isSure, () => changeLog.undo(changes, what));
    },
  };
}
