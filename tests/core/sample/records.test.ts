import { describe, expect, test } from 'vitest';
import { checkBooking, crewsOnSite } from '../../../src/core/bookings.ts';
import { burnPeopleMissing } from '../../../src/core/burn-people.ts';
import { burnConsentMissing, checkConsent } from '../../../src/core/consents.ts';
import {
  beforeApprovalWords,
  checkContract,
  contractStandings,
} from '../../../src/core/contracts.ts';
import { isoDate } from '../../../src/core/dates.ts';
import { checkGrazing } from '../../../src/core/grazing.ts';
import { checkLease } from '../../../src/core/leases.ts';
import type { Operation } from '../../../src/core/operation.ts';
import { checkPerson } from '../../../src/core/people.ts';
import { checkPoint } from '../../../src/core/points.ts';
import { sampleLand } from '../../../src/core/sample/land.ts';
import { landSpans } from '../../../src/core/season/land-spans.ts';

describe.each(['2026-11-25', '2027-02-28', '2027-06-30', '2027-07-01'])(
  'records beside the units of the sample on %s',
  (day) => {
    const today = isoDate(day);
    const land = sampleLand(today);

    test('can be stored, and have numbers of their own', () => {
      expect([
        ...land.points.flatMap(checkPoint),
        ...land.leases.flatMap(checkLease),
        ...land.grazing.flatMap(checkGrazing),
        ...land.consents.flatMap(checkConsent),
        ...land.contracts.flatMap(checkContract),
        ...land.people.flatMap(checkPerson),
        ...land.bookings.flatMap(checkBooking),
      ]).toEqual([]);
      const { points, leases, grazing, consents, people, bookings } = land;
      const ids = [points, leases, grazing, consents, people, bookings].flat().map(({ id }) => id);
      expect(ids.length).toBeGreaterThan(12);
      expect(new Set(ids).size).toBe(ids.length);
    });

    test('a contract is under way, with a felling that came before its approval; another waits for it', () => {
      const [first, second] = land.contracts;
      const [felling] = contractStandings(land as Operation, null, first!, [], today);
      expect(felling!.acresDone).toBeGreaterThan(0);
      expect(felling!.isDone).toBe(false);
      expect(felling!.early.map(({ treatmentKey }) => treatmentKey)).toEqual(['cedar-felling']);
      expect(beforeApprovalWords(land, felling!.early[0]!, today)).toHaveLength(1);
      expect(second!.approvedOn).toBeNull();
    });

    test('name units of their property and crews on record', () => {
      const propertyOf = new Map(land.units.map(({ id, propertyId }) => [id, propertyId]));
      for (const row of [...land.points, ...land.leases, ...land.grazing, ...land.consents])
        for (const id of row.unitIds) expect(propertyOf.get(id)).toBe(row.propertyId);
      const crewIds: (number | null)[] = land.crews.map(({ id }) => id);
      for (const { crewId } of [...land.people, ...land.bookings])
        expect(crewIds).toContain(crewId);
    });

    test('a lease, cattle and a den bar work; a signed job adds no day that the crew was not there', () => {
      expect(landSpans(land).map(({ key }) => key.replace(/\d+/, 'n'))).toEqual([
        'lease-n',
        'grazing-n',
        'point-n',
      ]);
      expect(crewsOnSite(land).map(({ onSpans }) => onSpans)).toEqual(
        land.crews.map(({ onSpans }) => onSpans),
      );
    });

    test('the burn of Saddle has its people and consents, and one qualification runs out soon', () => {
      const block = land.blocks.find(({ code }) => code === 'N2')!;
      expect(burnPeopleMissing(land as Operation, block, today)).toBe('');
      const units = land.units.filter(({ blockId }) => blockId === block.id);
      expect(burnConsentMissing(land.consents, units, null, today)).toBe('');
      const soon = land.people.flatMap(({ qualifications }) =>
        qualifications.filter(
          ({ expiresOn }) => expiresOn !== null && expiresOn < isoDate('2027-09-01'),
        ),
      );
      expect(soon.length).toBeGreaterThanOrEqual(1);
    });
  },
);
