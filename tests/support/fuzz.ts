import { readFileSync } from 'node:fs';
import { parse as parseCsv } from 'csv-parse/sync';
import fc from 'fast-check';
import type { FastifyInstance } from 'fastify';
import ICAL from 'ical.js';
import { type HTMLElement, parse } from 'node-html-parser';
import { SaxesParser } from 'saxes';
import { buildApp } from '../../src/web/app.ts';
import { routeAccess } from '../../src/web/route-access.ts';
import { addressPattern } from './crawl.ts';
import { feedServer } from './feed-server.ts';

/** A form as a page offers it, or a POST route that no page of the invented land leads to. */
export interface FoundForm {
  action: string;
  isUpload: boolean;
  fields: { name: string; value: string; isFile: boolean }[];
}

/** One thing that went wrong: what was sent, and what came of it. */
export interface Finding {
  sent: string;
  wrong: string;
}

/** What nobody means well by, by the door it knocks at. A mark of ours shows where markup or a line got through. */
const hostile = [
  '',
  ' ',
  '\u0000',
  'a\u0000b',
  '"><b data-fuzz="1">x</b>',
  '" onfuzz="1" x="',
  "' onfuzz='1",
  '</textarea><b data-fuzz="1">',
  '</title><b data-fuzz="1">',
  '<%= 1 %>',
  'javascript:alert(1)',
  "'; DROP TABLE unit; --",
  "' OR 1=1 --",
  '=1+1',
  '+1',
  '-2+3',
  '@SUM(A1)',
  '\t=1',
  '\r=1',
  'x\r\nX-FUZZ:1\r\nEND:VCALENDAR',
  'x\nX-FUZZ:1',
  'x\n{"level":50,"fuzz":1}',
  '__proto__',
  'constructor',
  'toString',
  'hasOwnProperty',
  '1e999',
  '-1',
  '0',
  '9007199254740993',
  '99999999999999999999',
  'NaN',
  'Infinity',
  '0x10',
  '1,5',
  '0000-00-00',
  '9999-12-31',
  '2026-02-30',
  '-0001-01-01',
  '10000-01-01',
  '25:61',
  '\u202eright to left\u202c',
  '\ud800',
  '\ufeff',
  '\u2028',
  'e\u0301'.repeat(50),
  'x'.repeat(5000),
  '../../etc/passwd',
  '%00',
  '%',
  '{"a":1}',
  '[]',
  'null',
  'true',
];

const hostileText = fc.oneof(
  { weight: 5, arbitrary: fc.constantFrom(...hostile) },
  { weight: 1, arbitrary: fc.string({ unit: 'binary', maxLength: 60 }) },
  { weight: 1, arbitrary: fc.integer().map(String) },
  { weight: 1, arbitrary: fc.double().map(String) },
);

const forFile = (name: string) =>
  readFileSync(new URL(`../fixtures/land/${name}`, import.meta.url), 'utf8');

/** Sound files of every kind that can be brought in; cases cut and mix them. */
const soundFiles = [
  forFile('units.csv'),
  forFile('units.geojson'),
  'unit,treatment,date,acres,note\nE1,burn,2019-02-11,20,dry\nE1,mow,2020,,\n',
  '724460 03947 20200101 0000 -56 -89 10231 270 41 0 0 -9999\n2020 01 01 00   -56   -89 10231   270    41     0     0 -9999\n',
  'USC00230001,20200101,TMAX,56,,,X,\nUSC00230001,20200101,PRCP,3,,,X,\n',
  'time,temp_f,rh,wind_mph,wind_from,rain_in\n2020-01-01 00:00,40,50,5,180,0\n',
  '<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>E1</name><Polygon><outerBoundaryIs><LinearRing><coordinates>-92,37 -92,37.01 -91.99,37.01 -92,37</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Document></kml>',
];

interface Change {
  at: number;
  text: string;
}

export interface FuzzCase {
  form: number;
  changes: Change[];
  /** Names of fields that no form has. */
  extra: [string, string][];
  file: { of: number; at: number; length: number; text: string };
  /** Digits of the path are replaced by this. */
  path: string | null;
}

/** A random case; the numbers are taken modulo what there is. */
export const fuzzCase: fc.Arbitrary<FuzzCase> = fc.record({
  form: fc.nat(100_000),
  changes: fc.array(fc.record({ at: fc.nat(1000), text: hostileText }), { maxLength: 4 }),
  extra: fc.array(
    fc.tuple(fc.constantFrom('stored', '__proto__', 'saveAnyway', 'x'), hostileText),
    {
      maxLength: 1,
    },
  ),
  file: fc.record({
    of: fc.nat(1000),
    at: fc.nat(5000),
    length: fc.nat(40),
    text: hostileText,
  }),
  path: fc.option(hostileText, { freq: 12 }),
});

/** The invented land behind the real app; what would leave the process is taken out. */
export function fuzzServer() {
  const { file, deps, adopt, tasks, addressFor } = feedServer();
  adopt(tasks());
  const refused = { code: 'not-here', message: 'Not in this test.' };
  const here = {
    ...deps,
    planning: { ...deps.planning, start: () => ({ ok: false as const, problems: [refused] }) },
    weather: { ...deps.weather, refreshForecast: () => [refused] },
  };
  const free = { atOnce: 1e9, perSecond: 1e9 };
  const app = buildApp(here, { logger: true, limits: { pages: free, changes: free } });
  const feed = addressFor('-p1').path;
  return { app, feed, close: () => app.close().then(() => file.close()) };
}

function formOf(form: HTMLElement): FoundForm {
  const fields = form.querySelectorAll('input, select, textarea, button').flatMap((input) => {
    const name = input.getAttribute('name');
    if (!name) return [];
    const option = input.querySelector('option[selected]') ?? input.querySelector('option');
    const value = input.getAttribute('value') ?? option?.getAttribute('value') ?? input.textContent;
    return [{ name, value, isFile: input.getAttribute('type') === 'file' }];
  });
  return {
    action: form.getAttribute('action') ?? '/',
    isUpload: form.getAttribute('enctype') === 'multipart/form-data',
    fields,
  };
}

/** Pages by following links, one of each kind, and the forms on them; then the POST routes that none of them has. */
export async function findForms(app: FastifyInstance) {
  const pages = new Map([['/', '/']]);
  const forms = new Map<string, FoundForm>();
  for (const path of pages.values()) {
    const answer = await app.inject({ url: path, headers: { host: 'localhost' } });
    if (!String(answer.headers['content-type']).startsWith('text/html')) continue;
    const root = parse(answer.body);
    for (const link of root.querySelectorAll('a[href^="/"]')) {
      const to = (link.getAttribute('href') ?? '').replace(/#.*$/, '');
      const kind = addressPattern(to);
      if (!pages.has(kind) && pages.size < 300) pages.set(kind, to);
    }
    for (const form of root.querySelectorAll('form[method="post"]').map(formOf))
      if (!forms.has(addressPattern(form.action))) forms.set(addressPattern(form.action), form);
  }
  const names = [...new Set([...forms.values()].flatMap(({ fields }) => fields))].slice(0, 30);
  const found = [...forms.values()];
  const isFound = (route: string) => {
    const pattern = new RegExp(`^${route.replaceAll(/:\w+/g, '[^/]+')}$`);
    return found.some(({ action }) => pattern.test(action.replace(/\?.*$/, '')));
  };
  for (const route of Object.keys(routeAccess).filter((key) => key.startsWith('POST ')))
    if (!isFound(route.slice(5)))
      found.push({
        action: route.slice(5).replaceAll(/:\w+/g, '1'),
        isUpload: false,
        fields: names,
      });
  // What makes an account closes every page to the cases that follow.
  const open = found.filter(({ action }) => !/^\/(people-access|account|sign-)/.test(action));
  return { forms: open, pages: [...pages.values()] };
}

/** Lone surrogates have no place in an address. */
const wellFormed = (text: string) => Buffer.from(text).toString('utf8');

function mutatedFile({ of, at, length, text }: FuzzCase['file']): string {
  const sound = soundFiles[of % soundFiles.length] ?? '';
  const place = at % (sound.length + 1);
  return sound.slice(0, place) + text + sound.slice(place + length);
}

function requestOf({ changes, extra, file, path }: FuzzCase, form: FoundForm) {
  const fields = form.fields.map((field) => ({ ...field }));
  for (const { at, text } of changes) {
    const field = fields[at % Math.max(1, fields.length)];
    if (field) field.value = text;
  }
  const url =
    path === null ? form.action : form.action.replace(/\d+/, encodeURIComponent(wellFormed(path)));
  const pairs = [...fields.map(({ name, value }): [string, string] => [name, value]), ...extra];
  if (!form.isUpload)
    return {
      url,
      type: 'application/x-www-form-urlencoded',
      body: new URLSearchParams(pairs).toString(),
    };
  const mark = 'part-9f1c';
  const parts = fields.map(({ name, value, isFile }) =>
    isFile
      ? `--${mark}\r\nContent-Disposition: form-data; name="${name}"; filename="f.csv"\r\nContent-Type: text/plain\r\n\r\n${mutatedFile(file)}\r\n`
      : `--${mark}\r\nContent-Disposition: form-data; name="${name}"\r\n\r\n${value}\r\n`,
  );
  return {
    url,
    type: `multipart/form-data; boundary=${mark}`,
    body: `${parts.join('')}--${mark}--\r\n`,
  };
}

/** What got through into a page, a table, a calendar or a map file; null = nothing. */
export function injectionIn(type: string, body: string): string | null {
  if (type.startsWith('text/html')) {
    if (!/data-fuzz|onfuzz/.test(body)) return null;
    const all = parse(body).querySelectorAll('*');
    const bad = all.find(({ attributes }) => 'data-fuzz' in attributes || 'onfuzz' in attributes);
    return bad ? `markup in the page: ${bad.toString().slice(0, 80)}` : null;
  }
  if (type.startsWith('text/csv')) {
    const rows: string[][] = parseCsv(body, { relax_column_count: true, bom: true });
    const cell = rows
      .flat()
      .find((one) => /^[=+\-@\t\r]/.test(one) && !/^-?\d+(\.\d+)?$/.test(one));
    return cell === undefined ? null : `a formula in a table: ${cell.slice(0, 40)}`;
  }
  if (type.startsWith('text/calendar')) {
    if (/^X-FUZZ/m.test(body)) return 'a line in a calendar';
    ICAL.parse(body);
    return null;
  }
  if (type.includes('kml') || type.includes('xml')) new SaxesParser().write(body).close();
  else if (type.includes('json')) JSON.parse(body);
  return null;
}

interface Asked {
  method?: 'POST';
  url: string;
  headers: Record<string, string>;
  payload?: string;
}

/** One request, judged: no fault of the server, nothing that got through. */
async function ask(app: FastifyInstance, request: Asked, sent: string): Promise<Finding[]> {
  const answer = await app.inject(request);
  if (answer.statusCode >= 500) return [{ sent, wrong: `answered with ${answer.statusCode}` }];
  try {
    const wrong = injectionIn(String(answer.headers['content-type'] ?? ''), answer.body);
    return wrong === null ? [] : [{ sent, wrong }];
  } catch (error) {
    return [{ sent, wrong: `can not be read: ${error}` }];
  }
}

const readToo = ['/worklog.csv', '/calendar/plan.csv', '/reports/season.csv', '/land/files/1.kml'];

/**
 * Sends cases to servers that are made anew every hundred cases, and reads pages, tables and feeds in between. Gives what went wrong, each kind once.
 */
export async function runFuzz(cases: readonly FuzzCase[]): Promise<Finding[]> {
  const findings = new Map<string, Finding>();
  const note = (found: readonly Finding[]) => {
    for (const one of found)
      findings.set(`${one.sent.split(' ')[0]} ${one.wrong.slice(0, 40)}`, one);
  };
  let server = fuzzServer();
  const { forms, pages } = await findForms(server.app);
  const reads = [...new Set([...pages, ...readToo])];
  for (const [at, one] of cases.entries()) {
    const form = forms[one.form % forms.length] as FoundForm;
    const { url, type, body } = requestOf(one, form);
    const headers = { host: 'localhost', 'sec-fetch-site': 'same-origin', 'content-type': type };
    const sent = `${form.action} ${JSON.stringify(body).slice(0, 300)}`;
    note(await ask(server.app, { method: 'POST', url, headers, payload: body }, sent));
    const text = wellFormed(one.changes[0]?.text ?? '');
    const read = reads[(at * 7) % reads.length] as string;
    const joint = read.includes('?') ? '&' : '?';
    const names = ['from', 'months', 'day', 'q', 'sort', 'property', 'season', 'unit', 'page'];
    const query = `${names[at % names.length]}=${encodeURIComponent(text)}`;
    for (const path of [read, `${read}${joint}${query}`])
      note(
        await ask(
          server.app,
          { url: path, headers: { host: 'localhost' } },
          `${path} after ${sent}`,
        ),
      );
    const feed = `${server.feed}?${at % 2 ? 'alarms=1&tasks=1' : `alarms=${encodeURIComponent(text)}`}`;
    const asked = { host: 'localhost', 'if-none-match': text.replaceAll(/[^\x20-\x7e]/g, '') };
    if (at % 5 === 0)
      note(await ask(server.app, { url: feed, headers: asked }, `feed after ${sent}`));
    if (at % 100 === 99) {
      await server.close();
      server = fuzzServer();
    }
  }
  await server.close();
  return [...findings.values()];
}
