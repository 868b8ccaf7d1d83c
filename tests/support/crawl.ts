import { parse } from 'node-html-parser';

/** A page address with what only names one of many taken out: `/units/7?x=1` is `/units/:id`. */
export function addressPattern(path: string): string {
  return (
    path
      .replace(/[?#].*$/, '')
      // A task key names one of many, and holds slashes.
      .replace(/^\/sheets\/.+$/, '/sheets/:key')
      .replace(/^(\/records\/[a-z-]+)\/(?!new$)[^/]+$/, '$1/:id')
      // The question before a row goes out of use is one page for all nouns.
      .replace(/^\/records\/[a-z-]+\/[^/]+\/(retire|default)$/, '/records/:kind/:id/$1')
      .replace(/\/\d+(?=\/|$)/g, '/:id')
  );
}

/**
 * One address of each kind of page, found by following the links and the forms that only read, from the
 * front page on. Files to keep and addresses that lead on to another page are left out.
 */
export async function findPages(url: string): Promise<Map<string, string>> {
  const seen = new Map([['/', '/']]);
  const pages = new Map<string, string>();
  for (const [kind, path] of seen) {
    const answer = await fetch(new URL(path, url));
    if (answer.status !== 200) throw new Error(`${path} answers ${answer.status}`);
    if (answer.redirected || !answer.headers.get('content-type')?.startsWith('text/html')) continue;
    pages.set(kind, path);
    const root = parse(await answer.text());
    const links = root.querySelectorAll('a[href]').map((link) => link.getAttribute('href') ?? '');
    const forms = root
      .querySelectorAll('form[method="get"]')
      .map((form) => form.getAttribute('action') ?? '');
    for (const link of [...links, ...forms]) {
      if (!link.startsWith('/') || link.startsWith('//')) continue;
      const linkKind = addressPattern(link);
      if (!seen.has(linkKind)) seen.set(linkKind, link.replace(/#.*$/, ''));
    }
  }
  return pages;
}
