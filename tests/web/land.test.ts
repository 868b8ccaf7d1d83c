import { describe, expect, it } from 'vitest';
import { type FakeDeps, fakeDeps } from '../support/fake-deps.ts';
import { type UploadPart, upload as uploadTo } from '../support/upload.ts';

const upload = (deps: FakeDeps, parts: UploadPart[]) => uploadTo(deps, '/land/import', parts);

const property = { name: 'propertyId', value: '1' };
const noFile = { name: 'file', value: '', fileName: '' };

describe('units from a file', () => {
  it('hands on a file with its name', async () => {
    const deps = fakeDeps();
    const file = { name: 'file', value: 'code,acres\nN1,3\n', fileName: 'units.csv' };
    const { status, root } = await upload(deps, [property, file, { name: 'text', value: '' }]);
    expect(status).toBe(200);
    expect(root.querySelector('[role="status"]')?.textContent).toContain('2 units taken in');
    expect(deps.calls).toEqual([
      { name: 'land.importUnits', args: [1, 'units.csv', 'code,acres\nN1,3\n'] },
    ]);
  });

  it.each([
    ['{"type":"FeatureCollection","features":[]}', 'pasted.geojson'],
    ['code,acres', 'pasted.csv'],
  ])('hands on pasted text %s', async (text, name) => {
    const deps = fakeDeps();
    await upload(deps, [property, noFile, { name: 'text', value: text }]);
    expect(deps.calls).toEqual([{ name: 'land.importUnits', args: [1, name, text] }]);
  });

  it('reports line by line and keeps what was pasted', async () => {
    const deps = fakeDeps({
      problems: [{ code: 'acres', line: 3, message: 'Acres: write a number.' }],
    });
    const { status, root } = await upload(deps, [
      property,
      noFile,
      { name: 'text', value: 'code\nN1\n' },
    ]);
    expect(status).toBe(422);
    expect(root.querySelector('.problems li')?.textContent.trim()).toBe(
      'Line 3: Acres: write a number.',
    );
    expect(root.querySelector('textarea')?.textContent).toBe('code\nN1\n');
  });

  it.each([
    ['propertyId', [{ name: 'propertyId', value: '99' }, noFile, { name: 'text', value: 'x' }]],
    ['text', [property, noFile, { name: 'text', value: ' ' }]],
  ])('names the field %s', async (field, parts) => {
    const deps = fakeDeps();
    const { status, root } = await upload(deps, parts);
    expect(status).toBe(422);
    expect(root.querySelector(`.problems a[href="#import-${field}"]`)).not.toBeNull();
    expect(deps.calls).toEqual([]);
  });

  it('refuses a file over 20 megabytes with a sentence', async () => {
    const file = { name: 'file', value: 'x'.repeat(20 * 1024 * 1024 + 1), fileName: 'units.csv' };
    const { status, root } = await upload(fakeDeps(), [property, file]);
    expect(status).toBe(413);
    expect(root.textContent).toContain('larger than 20 megabytes');
  });
});
