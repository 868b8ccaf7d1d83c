import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { buildApp } from '../../src/web/app.ts';
import { type FakeDeps, fakeDeps } from '../support/fake-deps.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { fakeOwnRate } from '../support/own-rates.ts';
import { getPage, sendForm } from '../support/page.ts';

const felling = { propertyId: '1', treatmentKey: 'cedar-felling', densityClass: 'moderate' };

function depsWith(count: number, own: Parameters<typeof fakeDeps>[0] = {}): FakeDeps {
  const operation = fakeOperation();
  operation.units[0]!.densityClass = 'moderate';
  operation.entries = Array.from({ length: count }, (_, at) =>
    fakeEntry(at + 1, 1, 'cedar-felling', `2026-01-1${at}`, {
      ...{ outcome: 'partly', areaAcres: 5, crewDays: 2, personHours: 64 },
    }),
  );
  return fakeDeps({ operation, ...own });
}

const rowText = async (deps: FakeDeps, name: string) => {
  const { root } = await getPage(buildApp(deps), '/rates');
  const row = root.querySelectorAll('tbody tr').find((one) => one.textContent.includes(name));
  return row?.textContent.replace(/\s+/g, ' ').trim() ?? '';
};

describe('own rates', () => {
  it('say after how many entries a figure is offered', async () => {
    const said = await rowText(depsWith(2), 'Fell cedar');
    expect(said).toContain('2.5 acres a crew day');
    expect(said).toContain('offered after 1 more');
    expect(said).not.toContain('Accept');
  });

  it('are offered with count and spread beside the default and its source', async () => {
    const said = await rowText(depsWith(3), 'Fell cedar');
    expect(said).toContain('3 entries: median 2.5, from 2.5 to 2.5');
    expect(said).toContain('Accept 2.5 acres a crew day');
    expect(said).toContain('4 acres a crew day');
    expect(said).toContain('our default, to edit');
  });

  it('are stored when they are accepted', async () => {
    const deps = depsWith(3);
    const { status } = await sendForm(buildApp(deps), '/rates', {
      ...felling,
      action: 'accept',
    });
    expect(status).toBe(303);
    expect(deps.calls).toEqual([
      {
        name: 'records.save',
        args: [
          'ownRate',
          {
            ...{ id: 0, propertyId: 1, treatmentKey: 'cedar-felling', densityClass: 'moderate' },
            ...{ per: 'crew-day', amount: 2.5, mean: 2.5, lowest: 2.5, highest: 2.5 },
            ...{ entryCount: 3, acceptedOn: isoDate('2026-11-09') },
          },
          true,
          false,
        ],
      },
    ]);
  });

  it('take the place of an older one, and go back', async () => {
    const deps = depsWith(3);
    deps.state.operation.ownRates = [fakeOwnRate({ id: 7 })];
    expect(await rowText(deps, 'Fell cedar')).toContain(
      'own rate of 3 entries, accepted 5 Oct 2026',
    );
    await sendForm(buildApp(deps), '/rates', { ...felling, action: 'accept' });
    expect(deps.calls[0]?.args.slice(1, 3)).toMatchObject([{ id: 7, amount: 2.5 }, false]);
    await sendForm(buildApp(deps), '/rates', { ...felling, action: 'back' });
    expect(deps.calls[1]).toEqual({ name: 'records.retire', args: ['ownRate', 7, false] });
  });

  it('hold for the lighting of burns, too', async () => {
    const deps = depsWith(0);
    deps.state.operation.entries = [2022, 2024, 2026].map((year, at) =>
      fakeEntry(at + 1, 1, 'dormant-burn', `${year}-03-01`, { areaAcres: 20, personHours: 33 }),
    );
    const lighting = { propertyId: '1', treatmentKey: '', densityClass: '', action: 'accept' };
    expect((await sendForm(buildApp(deps), '/rates', lighting)).status).toBe(303);
    expect(deps.calls[0]?.args[1]).toMatchObject({
      ...{ treatmentKey: null, densityClass: null, per: 'lighting-hour', entryCount: 3 },
    });
  });

  it('ask again where planned tasks would break', async () => {
    const problems = [{ code: 'work-amount', message: 'Fell cedar on N1 needs more.' }];
    const deps = depsWith(3, { recordAnswer: { kind: 'breaks', problems } });
    const { status, root } = await sendForm(buildApp(deps), '/rates', {
      ...felling,
      action: 'accept',
    });
    expect(status).toBe(409);
    expect(root.querySelector('.problems')?.textContent).toContain('Fell cedar on N1 needs more.');
    const again = root.querySelector('form button[name="isSure"]');
    expect(again?.textContent).toContain('Accept it all the same');
    await sendForm(buildApp(deps), '/rates', { ...felling, action: 'accept', isSure: 'yes' });
    expect(deps.calls.at(-1)?.args[3]).toBe(true);
  });

  it.each([
    [{ ...felling, action: 'accept' }, 422],
    [{ ...felling, propertyId: '99', action: 'accept' }, 404],
    [{ ...felling, densityClass: 'nonsense', action: 'accept' }, 422],
    [{ propertyId: '1', treatmentKey: '', densityClass: '', action: 'accept' }, 422],
    [{ ...felling, action: 'nonsense' }, 422],
  ])('refuse what is not offered: %o', async (values, expected) => {
    const deps = depsWith(2);
    expect((await sendForm(buildApp(deps), '/rates', values)).status).toBe(expected);
    expect(deps.calls).toEqual([]);
  });

  it('offer the share of fit days once three have passed, and go back to the default', async () => {
    const operation = fakeOperation();
    const note = { unitIds: [1], by: '', at: '2026-02-03T15:00:00Z' };
    operation.papers = ['2026-02-03', '2026-02-04', '2026-02-05', '2026-02-06'].map((day, at) => ({
      ...{ ...note, id: at + 1, kind: 'fit-day-not-used', propertyId: 1, blockId: 1 },
      ...{ day: isoDate(day), reason: 'people' },
    })) as unknown as typeof operation.papers;
    operation.entries = [fakeEntry(1, 1, 'dormant-burn', '2026-02-03')];
    const deps = fakeDeps({ operation });
    const { root } = await getPage(buildApp(deps), '/rates');
    const said = root
      .querySelector('section[aria-labelledby="use"]')
      ?.textContent.replace(/\s+/g, ' ');
    expect(said).toContain('1 of 4 fit days on which a burn was waiting: 25 %.');
    expect(said).toContain('too few people: 3');
    await sendForm(buildApp(deps), '/rates/share', { action: 'accept' });
    const shareAt = (at: number) =>
      (deps.calls[at]!.args[0] as typeof operation.settings).supply.usedShare;
    expect(shareAt(0)).toBe(0.25);
    await sendForm(buildApp(deps), '/rates/share', { action: 'back' });
    expect(shareAt(1)).toBe(0.4);
  });
});
