import type { SignedIn } from '../../core/accounts.ts';
import { mayCall } from '../route-access.ts';

const unescaped = (path: string) => path.replaceAll('&amp;', '&');

/** A form with all that is in it. Forms do not nest, and what people typed is escaped. */
const form =
  /<form\b(?=[^>]*\bmethod="(post|get)")(?=[^>]*\baction="(\/[^"]*)")[^>]*>[\s\S]*?<\/form>/g;
/** An entry of a list of pages: its link and what it is for. */
const entry = /<dt><a href="(\/[^"]*)">[^<]*<\/a><\/dt>\s*<dd>[^<]*<\/dd>/g;
const link = /<a\b([^>]*)\bhref="(\/[^"]*)"[^>]*>([\s\S]*?)<\/a>/g;

/**
 * A page without the forms and links that a person's role does not allow: a form, a button or an entry of a
 * list of pages goes, of a link in a text the words stay. In one place for all pages, so that none offers what would be refused.
 */
export function forRole(html: string, person: SignedIn | null): string {
  if (person === null || (person.role === 'administrator' && person.propertyIds === null))
    return html;
  const known = new Map<string, boolean>();
  const may = (method: string, href: string) => {
    const path = unescaped(href);
    const key = `${method} ${path.split(/[?#]/, 1)[0]}`;
    const found = known.get(key) ?? mayCall(person, method, path);
    known.set(key, found);
    return found;
  };
  return html
    .replace(form, (whole, method: string, action: string) =>
      may(method.toUpperCase(), action) ? whole : '',
    )
    .replace(entry, (whole, href: string) => (may('GET', href) ? whole : ''))
    .replace(link, (whole, before: string, href: string, words: string) => {
      if (may('GET', href)) return whole;
      return before.includes('class="button') ? '' : words;
    });
}
