import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const folder = fileURLToPath(new URL('../../views/', import.meta.url));
const templates = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
  name.endsWith('.eta'),
);

/** What a strict content policy refuses or what would run text as code. */
const barred: [string, RegExp][] = [
  ['hx-on', /\shx-on/i],
  ['an inline handler', /\son[a-z]+\s*=/i],
  ['an inline style', /\sstyle\s*=/i],
  ['a style element', /<style/i],
  ['script text', /<script(?![^>]*\ssrc=)/i],
  ['values by script', /js:|javascript:/i],
  ['an event filter', /hx-trigger="[^"]*\[/i],
  ['a script from elsewhere', /(src|href)="(https?:)?\/\//i],
];

describe('templates', () => {
  it('are found', () => expect(templates.length).toBeGreaterThan(20));

  it.each(templates)('%s holds nothing that the policy bars', (name) => {
    const text = readFileSync(join(folder, name), 'utf8');
    for (const [what, pattern] of barred) expect([what, pattern.test(text)]).toEqual([what, false]);
  });

  it.each(templates)('%s prints text raw only where it includes a template', (name) => {
    const text = readFileSync(join(folder, name), 'utf8');
    const raw = [...text.matchAll(/<%~\s*([^%]*?)\s*%>/g)].map((match) => match[1] ?? '');
    const isSafe = (code: string) => /^(include\(|it\.body$|field\(|filter\(|block\()/.test(code);
    expect(raw.filter((code) => !isSafe(code))).toEqual([]);
  });
});
