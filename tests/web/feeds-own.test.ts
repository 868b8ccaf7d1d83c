import jsQrPackage from 'jsqr';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { qrCode } from '../../src/web/pages/qr-code.ts';
import { feedServer } from '../support/feed-server.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';

const jsQr = jsQrPackage as unknown as typeof jsQrPackage.default;

let server: ReturnType<typeof feedServer>;
beforeEach(() => {
  server = feedServer();
  server.adopt(server.tasks());
});
afterEach(async () => {
  await server.app.close();
  server.file.close();
});

/** Draws a code's path as an image of four pixels a module and lets an independent reader read it. */
function readBack(code: { size: number; path: string }): string {
  const scale = 4;
  const width = code.size * scale;
  const pixels = new Uint8ClampedArray(width * width * 4).fill(255);
  for (const [, x = '', y = ''] of code.path.matchAll(/M(\d+) (\d+)h1v1h-1z/g))
    for (let dy = 0; dy < scale; dy++)
      for (let dx = 0; dx < scale; dx++) {
        const at = ((Number(y) * scale + dy) * width + Number(x) * scale + dx) * 4;
        pixels.fill(0, at, at + 3);
      }
  return jsQr(pixels, width, width)?.data ?? '';
}

describe('QR codes', () => {
  it.each([
    'https://land.example/feed/x/north-crew.ics',
    `https://land.example/${'é/'.repeat(60)}`,
  ])('are read back by another library: %s', (text) => expect(readBack(qrCode(text))).toBe(text));

  it('keep four white modules around', () => {
    const { size, path } = qrCode('x');
    const places = [...path.matchAll(/M(\d+) (\d+)/g)].flatMap((one) => [
      Number(one[1]),
      Number(one[2]),
    ]);
    expect(Math.min(...places)).toBe(4);
    expect(Math.max(...places)).toBe(size - 5);
  });
});

describe('the page of a new address', () => {
  it('shows address and codes once: of the feed, and of the crew’s page where it may report', async () => {
    const name = 'saw-contract-c2';
    const made = await sendForm(server.app, '/feeds', { name, label: 'truck', mayReport: 'yes' });
    const address = made.root.querySelector('#issued-address')?.textContent ?? '';
    const codes = made.root.querySelectorAll('svg.qr').map((svg) =>
      readBack({
        size: Number(svg.getAttribute('viewBox')?.split(' ')[2]),
        path: svg.querySelector('path')?.getAttribute('d') ?? '',
      }),
    );
    const token = /\/feed\/([\w-]{43})\//.exec(address)?.[1] ?? '';
    expect(codes).toEqual([address, `http://localhost/crew/${token}`]);
    expect(made.text).toContain('This address works on this machine only.');
    expect(made.root.querySelector('.truck-card')?.textContent).toContain('comes by phone or text');
    const later = await getPage(server.app, '/feeds');
    expect(later.root.querySelectorAll('svg.qr')).toHaveLength(0);
    expect(later.text).toContain('may mark tasks done');
  });

  it('only an address of a crew may report', async () => {
    const name = 'fernhill-ridge-p1';
    const made = await sendForm(server.app, '/feeds', { name, label: 'x', mayReport: 'yes' });
    expect(made.root.querySelectorAll('svg.qr')).toHaveLength(1);
    expect(server.deps.feeds.list()[0]?.mayReport).toBe(false);
  });
});

describe('a feed of one’s own', () => {
  const spray = {
    title: 'Cutting',
    treatmentKeys: ['cedar-felling'],
    crewIds: ['2'],
    unitIds: ['5'],
  };

  it('is put together, subscribed to, changed and removed', async () => {
    const saved = await sendForm(server.app, '/feeds/own', spray);
    expect([saved.status, saved.headers['location']]).toEqual([303, '/feeds']);
    const list = await getPage(server.app, '/feeds');
    expect(list.text).toContain('Cutting: Fell cedar; Saw contract; S2');
    const { path } = server.addressFor('-o1');
    const summaries = async () =>
      [...(await server.get(path)).body.matchAll(/SUMMARY:(.*)\r/g)].map((one) => one[1]);
    expect(await summaries()).toEqual([
      'About this feed: Cutting',
      'TENTATIVE: S2 Post oak bench: fell cedar',
    ]);
    const page = await getPage(server.app, '/feeds/own/1');
    const fields = fieldsOf(page, '/feeds/own/1', {
      title: 'Spray',
      treatmentKeys: ['foliar-spray'],
    });
    await sendForm(server.app, '/feeds/own/1', { ...fields, crewIds: [], unitIds: [] });
    expect((await summaries())[1]).toContain('foliar spray');
    await sendForm(server.app, '/feeds/own/1/remove', {});
    expect((await server.get(path)).statusCode).toBe(410);
    expect((await getPage(server.app, '/feeds/own/1')).status).toBe(404);
  });

  it('without a name is refused, with what was ticked kept', async () => {
    const page = await sendForm(server.app, '/feeds/own', { ...spray, title: '' });
    expect(page.status).toBe(422);
    expect(page.text).toContain('Name: fill this in.');
    expect(
      page.root.querySelector('input[name="crewIds"][value="2"]')?.hasAttribute('checked'),
    ).toBe(true);
    expect(server.deps.feeds.own.list()).toEqual([]);
  });

  it('with one tick of a side is a list too', async () => {
    await sendForm(server.app, '/feeds/own', { title: 'One', unitIds: '5' });
    expect(server.deps.feeds.own.list()[0]?.unitIds).toEqual([5]);
  });
});

describe('when a feed cannot be made', () => {
  it('the last good one is sent, also to a crew that may report, and never a 5xx', async () => {
    const made = server.addressFor('-c2', true);
    const good = await server.get(made.path);
    server.file.publish = () => {
      throw new Error('broken');
    };
    server.deps.land.updateUnit(5, { name: 'Renamed' });
    const kept = await server.get(made.path);
    expect([kept.statusCode, kept.body]).toEqual([200, good.body]);
    const fresh = await server.get(server.addressFor('-u5').path);
    expect(fresh.statusCode).toBe(404);
    expect(fresh.headers['cache-control']).toBe('no-store');
  });
});
