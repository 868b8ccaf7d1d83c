import type { Block } from './blocks.ts';
import type { IsoDate } from './dates.ts';
import type { Operation } from './operation.ts';
import type { Person } from './people.ts';

/** True when the person holds a qualification that has not run out; which one a burn asks for, its plan says. */
function isQualified(person: Person, today: IsoDate): boolean {
  return person.qualifications.some(({ expiresOn }) => expiresOn === null || expiresOn >= today);
}

/**
 * What is missing of the people of a block's burn, in words; empty when it is there. Once a role is filled by name:
 * a boss with a qualification that has not run out, and as many different people on the ground as the block asks
 * for. Those on call do not count: they are not on the ground. Before that, the tick that people are named.
 */
export function burnPeopleMissing(operation: Operation, block: Block, today: IsoDate): string {
  const { roles, peopleNamed } = block.readiness;
  if (roles.length === 0) return peopleNamed ? '' : 'burn roles not filled by named people';
  const personOf = (id: number) => operation.people.find((person) => person.id === id);
  const bosses = roles
    .filter(({ role }) => role === 'boss')
    .flatMap(({ personId }) => personOf(personId) ?? []);
  const [boss] = bosses;
  if (!boss) return 'no burn boss named';
  if (!bosses.some((one) => isQualified(one, today)))
    return boss.qualifications.length === 0
      ? `no qualification of the burn boss ${boss.name} on file`
      : `the qualification of the burn boss ${boss.name} has run out`;
  const onGround = new Set(
    roles.flatMap(({ role, personId }) =>
      role !== 'on-call' && personOf(personId) ? [personId] : [],
    ),
  );
  return onGround.size < block.burnPeopleLeast
    ? `${onGround.size} of ${block.burnPeopleLeast} people named for the burn`
    : '';
}
