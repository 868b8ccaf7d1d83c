import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

const installed = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/usr/bin/google-chrome-stable',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  'C:/Program Files/Google/Chrome/Application/chrome.exe',
];

/** Debian packages that the browser from the registry links against, and a font to write with. */
const debianPackages = 'libnss3 libnspr4 libexpat1 fonts-dejavu-core';

/**
 * A Chromium or Chrome on this machine, else on Linux the one shipped in a registry tarball.
 * `BROWSER_PATH` names another; `BROWSER_PATH=bundled` asks for the shipped one.
 */
async function browserPath(): Promise<string> {
  const wanted = process.env['BROWSER_PATH'];
  if (wanted && wanted !== 'bundled') return wanted;
  const found = wanted ? undefined : installed.find((path) => existsSync(path));
  if (found) return found;
  if (process.platform !== 'linux')
    throw new Error('The browser tests need Chrome or Chromium: install one, or set BROWSER_PATH.');
  const { default: bundled } = await import('@sparticuz/chromium');
  const path = await bundled.executablePath();
  const missing = spawnSync('ldd', [path], { encoding: 'utf8' })
    .stdout.split('\n')
    .filter((line) => line.includes('not found'));
  if (missing.length > 0)
    throw new Error(
      `The shipped browser lacks shared libraries:\n${missing.join('\n')}\n` +
        `On Debian: apt-get install -y --no-install-recommends ${debianPackages}`,
    );
  return path;
}

/** A headless browser that asks nothing of the network beyond the page under test. */
export async function openBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: await browserPath(),
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
}
