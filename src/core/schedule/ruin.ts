import type { Prepared } from './prepared.ts';
import type { Random } from './random.ts';
import type { PlanState } from './search.ts';

/** Groups taken out at once; few are drawn more often than many. */
const ruinMost = 31;
/** Groups kept for each group as its surroundings. */
const nearbyMost = 24;

/**
 * Chooses the groups to take out: around a place, on the rows that a costly group would need, or anywhere.
 * The list that is returned is reused by the next call.
 */
export function createRuin(prepared: Prepared, state: PlanState, random: Random): () => number[] {
  const groupCount = prepared.model.groupCount;
  const groups: number[] = [];
  const isTaken = new Uint8Array(groupCount);
  const nearby = nearbyGroups(prepared);
  const rowUsers = createRowUsers(prepared, state);

  const take = (group: number): void => {
    if (isTaken[group]) return;
    isTaken[group] = 1;
    groups.push(group);
  };

  /** The worst off of a few drawn groups. */
  function costlyGroup(): number {
    let worst = random.below(groupCount);
    for (let draw = 0; draw < 3; draw++) {
      const other = random.below(groupCount);
      if (excessOf(other) > excessOf(worst)) worst = other;
    }
    return worst;
  }

  const excessOf = (group: number) => state.groupCost[group]! - state.groupIdeal[group]!;

  function takeAround(count: number): void {
    const middle = random.below(2) === 0 ? costlyGroup() : random.below(groupCount);
    take(middle);
    const around = nearby[middle]!;
    for (let at = 0; at < around.length && groups.length < count; at++)
      if (random.below(4) > 0) take(around[at]!);
  }

  function takeRivals(count: number): void {
    const wanting = costlyGroup();
    take(wanting);
    const users = rowUsers(wanting, random);
    while (groups.length < count && users.length > 0) {
      const at = random.below(users.length);
      take(users[at]!);
      users[at] = users.at(-1)!;
      users.pop();
    }
  }

  return () => {
    for (const group of groups) isTaken[group] = 0;
    groups.length = 0;
    if (groupCount === 0) return groups;
    const count = Math.min(groupCount, 2 + random.below(random.below(ruinMost - 1) + 1));
    const kind = random.below(20);
    if (kind < 7) takeAround(count);
    else if (kind < 16) takeRivals(count);
    for (
      let tries = 0;
      groups.length < count && (kind >= 16 || groups.length < 2) && tries < 40;
      tries++
    )
      take(random.below(groupCount));
    return groups;
  };
}

function nearbyGroups(prepared: Prepared): number[][] {
  const places = prepared.model.groupPlaces;
  return places.map(([x, y], group) => {
    const distance = places.map(([ox, oy]) => (ox - x) * (ox - x) + (oy - y) * (oy - y));
    const others = [...places.keys()].filter((other) => other !== group);
    return others.sort((a, b) => distance[a]! - distance[b]! || a - b).slice(0, nearbyMost);
  });
}

/** Lists the groups that draw on rows which a task of `wanting` would use at a good start or close to it. */
function createRowUsers(prepared: Prepared, state: PlanState) {
  const { groupFirst, groupTasks, optionFirst, useFirst, useRow, cost } = prepared;
  const isWanted = new Uint8Array(prepared.free.length);
  const wanted: number[] = [];
  const users: number[] = [];

  /** A task of the group that is left out or costs something, else any. */
  function sufferingTask(group: number, random: Random): number {
    const [first, end] = [groupFirst[group]!, groupFirst[group + 1]!];
    let task = groupTasks[first + random.below(end - first)]!;
    for (let draw = 0; draw < 4; draw++) {
      const option = state.choice[task]!;
      if (option < 0 || cost[option]! > 0) break;
      task = groupTasks[first + random.below(end - first)]!;
    }
    return task;
  }

  function wantRows(task: number, random: Random): void {
    const [first, end] = [optionFirst[task]!, optionFirst[task + 1]!];
    if (first === end) return;
    let good = first + random.below(end - first);
    for (let draw = 0; draw < 6; draw++) {
      const other = first + random.below(end - first);
      if (cost[other]! < cost[good]!) good = other;
    }
    const reach = random.below(3);
    for (let o = Math.max(first, good - reach); o <= Math.min(end - 1, good + reach); o++) {
      for (let use = useFirst[o]!; use < useFirst[o + 1]!; use++) {
        if (isWanted[useRow[use]!]) continue;
        isWanted[useRow[use]!] = 1;
        wanted.push(useRow[use]!);
      }
    }
  }

  function usesWanted(group: number): boolean {
    for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++) {
      const option = state.choice[groupTasks[at]!]!;
      if (option < 0) continue;
      for (let use = useFirst[option]!; use < useFirst[option + 1]!; use++)
        if (isWanted[useRow[use]!]) return true;
    }
    return false;
  }

  return (wanting: number, random: Random): number[] => {
    users.length = 0;
    if (groupFirst[wanting] === groupFirst[wanting + 1]) return users;
    wantRows(sufferingTask(wanting, random), random);
    for (let group = 0; group < state.groupCost.length; group++)
      if (group !== wanting && usesWanted(group)) users.push(group);
    for (const row of wanted) isWanted[row] = 0;
    wanted.length = 0;
    return users;
  };
}
