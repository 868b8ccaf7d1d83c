import { describe, expect, it } from 'vitest';
import type { LandFileRow } from '../../src/core/land-file-changes.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { upload } from '../support/upload.ts';

const landReport: LandFileRow[] = [
  {
    what: 'unit',
    key: 'N1',
    id: 1,
    state: 'changed',
    changes: [{ field: 'areaAcres', from: '22', to: '25' }],
  },
  { what: 'point', key: 'Den', id: null, state: 'new', changes: [] },
  { what: 'unit', key: 'N2', id: 2, state: 'missing', changes: [] },
];
const field = (name: string, value: string) => ({ name, value });
const text = '{"type": "FeatureCollection"}';
const sent = [
  field('propertyId', '1'),
  field('community', 'glade'),
  { name: 'file', value: text, fileName: 'a.geojson' },
];
const file = { propertyId: 1, text, communityKey: 'glade' };

describe('land as files', () => {
  it.each([
    ['geojson', 'application/geo+json'],
    ['kml', 'application/xml'],
  ])('gives %s out under the name of the property', async (kind, type) => {
    const app = buildApp(fakeDeps());
    const answer = await app.inject({
      url: `/land/files/1/${kind}`,
      headers: { host: 'localhost' },
    });
    expect(answer.headers['content-type']).toContain(type);
    expect(answer.headers['content-disposition']).toBe(
      `attachment; filename="fernhill-ridge.${kind}"`,
    );
    expect(answer.body).toBe(`${kind} 1`);
    expect(
      (await app.inject({ url: `/land/files/9/${kind}`, headers: { host: 'localhost' } }))
        .statusCode,
    ).toBe(404);
  });

  it('lists what would change before anything is saved', async () => {
    const deps = fakeDeps({ landReport });
    const { status, root } = await upload(deps, '/land/files', sent);
    expect(status).toBe(200);
    expect(root.querySelectorAll('h3').map((one) => one.textContent)).toEqual([
      'New: 1',
      'Changed: 1',
      'On file and not in this file: they stay: 1',
    ]);
    expect(root.textContent).toContain('acres: 22 → 25');
    expect(deps.calls).toEqual([{ name: 'files.previewLand', args: [file] }]);
  });

  it('takes over what was seen, and shows the list again when it is another', async () => {
    const deps = fakeDeps({ landReport });
    const { root } = await upload(deps, '/land/files', sent);
    const seen = root.querySelector('input[name="seen"]')?.getAttribute('value') ?? '';
    const kept = root.querySelector('textarea[hidden]')?.textContent ?? '';
    const take = [...sent.slice(0, 2), field('text', kept), field('do', 'take')];
    const stale = await upload(deps, '/land/files', [...take, field('seen', 'unit N7 1')]);
    expect(stale.status).toBe(422);
    expect(stale.root.querySelector('[role="alert"]')?.textContent).toContain('please look again');
    deps.calls.length = 0;
    const taken = await upload(deps, '/land/files', [...take, field('seen', seen)]);
    expect(taken.root.querySelector('[role="status"]')?.textContent).toContain('2 rows taken over');
    expect(deps.calls.at(-1)).toEqual({ name: 'files.takeLand', args: [file] });
  });

  it('says what is wrong and offers nothing to take', async () => {
    const deps = fakeDeps({
      problems: [{ code: 'x', message: 'Feature 1, acres: write a number.' }],
    });
    const { status, root } = await upload(deps, '/land/files', sent);
    expect(status).toBe(422);
    expect(root.querySelector('[role="alert"]')?.textContent).toContain('Feature 1, acres');
    expect(root.querySelector('button[name="do"]')).toBeNull();
    const none = await upload(deps, '/land/files', [field('propertyId', '77'), field('text', ' ')]);
    expect(none.root.querySelectorAll('[role="alert"] a')).toHaveLength(2);
  });
});
