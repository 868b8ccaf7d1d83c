import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { webPackets } from '../../src/cli/web-packets.ts';
import { webRecords } from '../../src/cli/web-records.ts';
import { isoDate } from '../../src/core/dates.ts';
import { mapLayerOf } from '../../src/core/map-layers.ts';
import type { PlanElement } from '../../src/core/plan-elements.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';

function invented() {
  const operation = fakeOperation();
  const file = openOperationFile(':memory:', fakeToday, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  return {
    file,
    packets: webPackets(file),
    records: webRecords(file),
    land: () => file.operation(),
  };
}

const element: PlanElement = {
  id: 0,
  blockId: 1,
  key: 'smoke',
  isWritten: true,
  signedBy: 'R. Hale',
  signedOn: isoDate('2026-10-01'),
  expiresOn: null,
};

describe('elements of a burn plan', () => {
  test('are kept, changed, and go out of sight with their block', () => {
    const { packets, records, land } = invented();
    expect(packets.saveElements([element, { ...element, key: 'signatures' }])).toEqual([]);
    const kept = land().planElements;
    expect(kept.map(({ key, signedBy }) => [key, signedBy])).toEqual([
      ['smoke', 'R. Hale'],
      ['signatures', 'R. Hale'],
    ]);
    expect(packets.saveElements([{ ...kept[0]!, signedBy: 'Odell Finch' }])).toEqual([]);
    expect(land().planElements.map(({ signedBy }) => signedBy)).toEqual(['Odell Finch', 'R. Hale']);
    expect(records.retire('block', 1, true)).toMatchObject({ kind: 'saved' });
    expect(land().planElements).toEqual([]);
  });

  test('are saved all or none', () => {
    const { packets, land } = invented();
    const wrong = { ...element, key: 'signatures', signedBy: '' };
    expect(packets.saveElements([element, wrong])[0]?.message).toContain('say who signed');
    expect(land().planElements).toEqual([]);
    expect(packets.saveElements([{ ...element, blockId: 99 }])[0]?.message).toContain('Block:');
  });
});

describe('what lies on the map', () => {
  test('a layer is kept, taken off and brought back', () => {
    const { records, land } = invented();
    const made = mapLayerOf(
      { propertyId: 1, name: 'Creeks', kind: 'creek' },
      [
        {
          label: '',
          path: [
            [-92.1, 37.2],
            [-92.09, 37.21],
          ],
        },
      ],
      land().units,
    );
    if (!made.ok) throw new Error('the layer is sound');
    const saved = records.save('mapLayer', { id: 0, ...made.value.layer }, true, true);
    if (saved.kind !== 'saved') throw new Error('the layer is saved');
    expect(land().mapLayers).toEqual([{ id: saved.id, ...made.value.layer }]);
    expect(records.retire('mapLayer', saved.id, true)).toMatchObject({ kind: 'saved' });
    expect(land().mapLayers).toEqual([]);
    expect(records.retired()[0]?.name).toBe('Map layer Creeks');
    expect(records.bringBack('mapLayer', saved.id)).toEqual([]);
    expect(land().mapLayers).toHaveLength(1);
  });

  test('a server of pictures is refused with a sentence, else kept and switched off again', () => {
    const { records, land } = invented();
    const attribution = 'its makers';
    const bad = records.save('tileService', { id: 0, address: 'tiles', attribution }, true, true);
    expect(bad).toMatchObject({ kind: 'refused', problems: [{ field: 'address' }] });
    const address = 'https://tiles.example.org/{z}/{x}/{y}.png';
    const saved = records.save('tileService', { id: 0, address, attribution }, true, true);
    expect(saved).toMatchObject({ kind: 'saved' });
    const [service] = land().tileServices;
    expect(service?.address).toBe(address);
    records.save('tileService', { ...service!, address: '' }, false, true);
    expect(land().tileServices.map((one) => one.address)).toEqual(['']);
  });
});
