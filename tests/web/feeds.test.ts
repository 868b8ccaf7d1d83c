import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps, fakeToken } from '../support/fake-deps.ts';
import { getPage, sendForm } from '../support/page.ts';

describe('feed addresses', () => {
  it.each([
    ['/feeds', { name: 'home-crew', label: 'crew phone' }, 'home-crew'],
    ['/feeds/1/rotate', {}, 'fernhill-ridge'],
  ])('%s shows the address this once', async (path, fields, name) => {
    const app = buildApp(fakeDeps());
    const made = await sendForm(app, path, fields, { host: 'localhost:8080' });
    expect(made.status).toBe(200);
    expect(made.headers['cache-control']).toBe('no-store');
    const address = `localhost:8080/feed/${fakeToken}/${name}.ics`;
    expect(made.root.querySelector('code')?.textContent).toBe(`http://${address}`);
    expect(made.root.querySelector(`a[href="webcal://${address}"]`)).not.toBeNull();
    expect((await getPage(app, '/feeds')).text).not.toContain(fakeToken);
  });

  it('ends an address and says so', async () => {
    const app = buildApp(fakeDeps());
    await sendForm(app, '/feeds/1/revoke', {});
    const page = await getPage(app, '/feeds');
    expect(page.root.querySelector('tbody tr')?.textContent).toContain('ended');
    expect(page.root.querySelector('a[href="/feeds/1/rotate"]')).toBeNull();
    expect((await sendForm(app, '/feeds/1/rotate', {})).status).toBe(404);
  });
});
