import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { openBrowser } from '../support/browser.ts';
import { findPages } from '../support/crawl.ts';
import { startServer } from '../support/server.ts';

// Run by hand after a build: npx tsx tests/bench/pictures.ts [FOLDER].
// Makes docs/year.png; with a folder also a picture of every page at three widths, light, and dark at one, to look at.

const readmePicture = fileURLToPath(new URL('../../docs/year.png', import.meta.url));
const widths = [360, 768, 1280];

async function pictures(folder: string | undefined): Promise<void> {
  const scratch = mkdtempSync(join(tmpdir(), 'seasonwright-'));
  // A first run: sample land, planned as everybody gets it.
  const server = await startServer(join(scratch, 'pictures.db'));
  const browser = await openBrowser();
  try {
    const page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
    await page.goto(`${server.url}/year?property=1`);
    await page.screenshot({ path: readmePicture, fullPage: true });
    console.log(readmePicture);
    if (folder === undefined) return;
    mkdirSync(folder, { recursive: true });
    for (const [pattern, path] of await findPages(server.url)) {
      const name = pattern.replace(/[/:]+/g, '-').replace(/^-|-$/g, '') || 'today';
      for (const colorScheme of ['light', 'dark'] as const)
        for (const width of colorScheme === 'light' ? widths : [1280]) {
          await page.emulateMedia({ colorScheme });
          await page.setViewportSize({ width, height: 900 });
          await page.goto(`${server.url}${path}`);
          const end = colorScheme === 'dark' ? '-dark' : '';
          const file = join(folder, `${name}-${width}${end}.png`);
          await page.screenshot({ path: file, fullPage: true });
          console.log(file);
        }
    }
  } finally {
    await browser.close();
    await server.stop();
    rmSync(scratch, { recursive: true, force: true });
  }
}

await pictures(process.argv[2]);
