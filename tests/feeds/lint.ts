import { familyCategories } from '../../src/core/publication.ts';

/**
 * A strict reading of a feed, written apart from the writer: RFC 5545 sections 3.1 (lines), 3.2 (parameters),
 * 3.3.11 (TEXT), 3.3.13 (URI), 3.6 and 3.6.1 (components), RFC 7986 section 5 and RFC 9253 sections 4 to 6.
 * Parsers forgive nearly everything, so a parse alone proves nothing. Each fault is one sentence.
 */
export function lintFeed(bytes: Uint8Array): string[] {
  const faults: string[] = [];
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return ['not UTF-8'];
  }
  faults.push(...lintBytes(text));
  const lines = text
    .replace(/\r\n[ \t]/g, '')
    .split('\r\n')
    .filter((line) => line !== '')
    .map((line) => readLine(line, faults));
  return [...faults, ...lintStructure(lines), ...lintEvents(lines), ...lintToDos(lines)];
}

interface ContentLine {
  name: string;
  parameters: Record<string, string>;
  value: string;
}

function lintBytes(text: string): string[] {
  const faults: string[] = [];
  if (text.startsWith('\uFEFF')) faults.push('starts with a byte order mark');
  if (!text.endsWith('END:VCALENDAR\r\n')) faults.push('does not end in END:VCALENDAR and CRLF');
  if (/\r(?!\n)|(?<!\r)\n/.test(text)) faults.push('bare CR or LF');
  if (/\r\n\r\n/.test(text)) faults.push('blank line');
  for (const character of text) {
    const code = character.codePointAt(0) ?? 0;
    const isControl = code < 0x20 && ![0x09, 0x0a, 0x0d].includes(code);
    if (isControl || (code >= 0x7f && code < 0xa0) || code === 0x2028 || code === 0x2029)
      faults.push(`control character or odd line end ${code.toString(16)}`);
  }
  for (const line of text.split('\r\n')) {
    const octets = new TextEncoder().encode(line).length;
    if (octets > 75) faults.push(`line of ${octets} octets: ${line}`);
    if (/^[\uDC00-\uDFFF]|^[ \t][\uDC00-\uDFFF]|[\uD800-\uDBFF]$/.test(line))
      faults.push('folded inside a character');
  }
  return faults;
}

const textNames =
  'NAME X-WR-CALNAME DESCRIPTION X-WR-CALDESC SUMMARY LOCATION CATEGORIES REFID'.split(' ');
const uriNames = ['URL', 'SOURCE'];
const knownNames = [
  ...textNames,
  ...uriNames,
  ...'BEGIN END VERSION PRODID CALSCALE REFRESH-INTERVAL COLOR UID SEQUENCE DTSTAMP DTSTART DTEND'.split(
    ' ',
  ),
  ...'TRANSP GEO STATUS CREATED LAST-MODIFIED RELATED-TO REFID LINK CONCEPT DUE ACTION TRIGGER'.split(
    ' ',
  ),
];

function readLine(line: string, faults: string[]): ContentLine {
  const match = /^([A-Z0-9-]+)((?:;[A-Z0-9-]+=(?:"[^"]*"|[^";:,]*))*):(.*)$/s.exec(line);
  if (!match) {
    faults.push(`not a content line: ${line}`);
    return { name: '', parameters: {}, value: line };
  }
  const [, name = '', parameterText = '', value = ''] = match;
  const parameters = Object.fromEntries(
    parameterText
      .split(';')
      .filter((part) => part !== '')
      .map((part) => part.split('=') as [string, string]),
  );
  if (!knownNames.includes(name) && !name.startsWith('X-')) faults.push(`unknown name ${name}`);
  if (textNames.includes(name)) {
    const bare = value.replace(/\\[\\;,nN]/g, '');
    if (bare.includes('\\')) faults.push(`${name}: stray backslash`);
    if (bare.includes(';')) faults.push(`${name}: semicolon not escaped`);
    if (bare.includes(',') && name !== 'CATEGORIES') faults.push(`${name}: comma not escaped`);
  }
  if (uriNames.includes(name) && (value.includes('\\') || !/^https?:\/\/[^\s]+$/.test(value)))
    faults.push(`${name}: not a plain web address`);
  // RFC 9253, sections 6.1, 8.1 and 8.2.
  if (name === 'LINK' && !(parameters['VALUE'] && parameters['LINKREL']))
    faults.push('LINK without VALUE and LINKREL');
  if (name === 'CONCEPT' && (value.includes('\\') || !/^[a-z][a-z0-9+.-]*:[^\s]+$/i.test(value)))
    faults.push('CONCEPT is not an address');
  return { name, parameters, value };
}

function lintStructure(lines: ContentLine[]): string[] {
  const faults: string[] = [];
  const first = lines.findIndex((line) => line.name === 'BEGIN' && line.value !== 'VCALENDAR');
  if (lines[0]?.name !== 'BEGIN' || lines[0].value !== 'VCALENDAR') faults.push('no VCALENDAR');
  if (first < 0) faults.push('no component');
  const header = first < 0 ? lines : lines.slice(0, first);
  const one = (name: string) => header.filter((line) => line.name === name);
  for (const name of ['VERSION', 'PRODID', 'NAME', 'X-WR-CALNAME', 'REFRESH-INTERVAL'])
    if (one(name).length !== 1) faults.push(`${name} not exactly once`);
  if (one('NAME')[0]?.value !== one('X-WR-CALNAME')[0]?.value) faults.push('two names');
  if (one('REFRESH-INTERVAL')[0]?.value !== one('X-PUBLISHED-TTL')[0]?.value)
    faults.push('two refresh intervals');
  if (one('REFRESH-INTERVAL')[0]?.parameters['VALUE'] !== 'DURATION')
    faults.push('REFRESH-INTERVAL without VALUE=DURATION');
  if (one('UID').length > 0) faults.push('calendar with a UID');
  for (const name of ['METHOD', 'X-WR-TIMEZONE', 'TIMEZONE-ID', 'ATTENDEE', 'ORGANIZER'])
    if (lines.some((line) => line.name === name)) faults.push(`${name} is not wanted`);
  let depth = 0;
  let hadEvent = false;
  for (const { name, value } of lines) {
    if (name === 'BEGIN') {
      const isWanted =
        (depth === 0 && value === 'VCALENDAR' && !hadEvent) ||
        (depth === 1 && (value === 'VEVENT' || value === 'VTODO')) ||
        (depth === 2 && value === 'VALARM');
      if (!isWanted) faults.push(`component ${value} at depth ${depth}`);
      hadEvent = hadEvent || depth === 1;
      depth += 1;
    } else if (name === 'END') depth -= 1;
    else if (depth === 0 || (depth === 1 && hadEvent)) faults.push(`${name} outside its component`);
  }
  if (depth !== 0) faults.push('BEGIN and END do not match');
  return faults;
}

/** Components of a kind as lists of their own lines. */
export function componentsOf(lines: ContentLine[], kind: string): ContentLine[][] {
  const found: ContentLine[][] = [];
  const open: string[] = [];
  for (const line of lines) {
    if (line.name === 'BEGIN') {
      open.push(line.value);
      if (line.value === kind) found.push([]);
    } else if (line.name === 'END') open.pop();
    else if (open.at(-1) === kind) found.at(-1)?.push(line);
  }
  return found;
}

/** RFC 5545, sections 3.6.2 and 3.8.2.3: DUE later than DTSTART, statuses of a to-do. */
function lintToDos(lines: ContentLine[]): string[] {
  const faults: string[] = [];
  const value = (part: ContentLine[], name: string) =>
    part.find((line) => line.name === name)?.value ?? '';
  const events = componentsOf(lines, 'VEVENT').map((event) => value(event, 'UID'));
  for (const toDo of componentsOf(lines, 'VTODO')) {
    const uid = value(toDo, 'UID');
    if (events.includes(uid)) faults.push(`${uid}: the uid of an event on a to-do`);
    for (const name of ['UID', 'SEQUENCE', 'DTSTAMP', 'SUMMARY', 'STATUS', 'DUE'])
      if (toDo.filter((line) => line.name === name).length !== 1)
        faults.push(`${uid}: ${name} not exactly once`);
    if (!'NEEDS-ACTION IN-PROCESS COMPLETED CANCELLED'.split(' ').includes(value(toDo, 'STATUS')))
      faults.push(`${uid}: STATUS ${value(toDo, 'STATUS')} of a to-do`);
    if (value(toDo, 'DTSTART') !== '' && value(toDo, 'DUE') <= value(toDo, 'DTSTART'))
      faults.push(`${uid}: DUE not after DTSTART`);
  }
  for (const alarm of componentsOf(lines, 'VALARM'))
    for (const name of ['ACTION', 'TRIGGER', 'DESCRIPTION'])
      if (alarm.filter((line) => line.name === name).length !== 1)
        faults.push(`alarm: ${name} not exactly once`);
  return faults;
}

const dayOf = (text: string) =>
  Date.UTC(Number(text.slice(0, 4)), Number(text.slice(4, 6)) - 1, Number(text.slice(6, 8))) /
  864e5;

function lintEvents(lines: ContentLine[]): string[] {
  const faults: string[] = [];
  const events = componentsOf(lines, 'VEVENT');
  const value = (event: ContentLine[], name: string) =>
    event.find((line) => line.name === name)?.value ?? '';
  const uids = events.map((event) => value(event, 'UID'));
  if (new Set(uids).size !== uids.length) faults.push('a UID twice');
  for (const event of events) {
    const uid = value(event, 'UID');
    const wrong = (what: string) => faults.push(`${uid}: ${what}`);
    for (const name of 'UID SEQUENCE DTSTAMP LAST-MODIFIED CREATED DTSTART DTEND SUMMARY STATUS TRANSP X-MICROSOFT-CDO-BUSYSTATUS'.split(
      ' ',
    ))
      if (event.filter((line) => line.name === name).length !== 1)
        wrong(`${name} not exactly once`);
    for (const name of ['DTSTAMP', 'LAST-MODIFIED', 'CREATED'])
      if (!/^\d{8}T\d{6}Z$/.test(value(event, name))) wrong(`${name} is not UTC`);
    if (value(event, 'DTSTAMP') !== value(event, 'LAST-MODIFIED')) wrong('two revision times');
    if (!/^\d+$/.test(value(event, 'SEQUENCE'))) wrong('SEQUENCE is not a whole number');
    for (const name of ['DTSTART', 'DTEND'])
      if (
        event.find((line) => line.name === name)?.parameters['VALUE'] !== 'DATE' ||
        !/^\d{8}$/.test(value(event, name))
      )
        wrong(`${name} is not a DATE`);
    if (value(event, 'DTEND') <= value(event, 'DTSTART')) wrong('DTEND not after DTSTART');
    const status = value(event, 'STATUS');
    const isOpaque = value(event, 'TRANSP') === 'OPAQUE';
    if (!['TENTATIVE', 'CONFIRMED', 'CANCELLED'].includes(status)) wrong(`STATUS ${status}`);
    if (status !== 'CONFIRMED' && !value(event, 'SUMMARY').startsWith(`${status}: `))
      wrong('no prefix');
    if (isOpaque && status !== 'CONFIRMED') wrong('busy time that is not confirmed');
    if (isOpaque !== (value(event, 'X-MICROSOFT-CDO-BUSYSTATUS') === 'BUSY')) wrong('busy or not?');
    for (const line of event) {
      if (line.name === 'CATEGORIES' && !Object.values(familyCategories).includes(line.value))
        wrong(`category ${line.value}`);
      if (line.name === 'GEO' && !/^-?\d{1,2}(\.\d{1,6})?;-?\d{1,3}(\.\d{1,6})?$/.test(line.value))
        wrong(`GEO ${line.value}`);
      if (line.name === 'RELATED-TO') faults.push(...lintRelation(event, line, events, value));
    }
  }
  return faults;
}

function lintRelation(
  event: ContentLine[],
  line: ContentLine,
  events: ContentLine[][],
  value: (event: ContentLine[], name: string) => string,
): string[] {
  const uid = value(event, 'UID');
  const other = events.find((one) => value(one, 'UID') === line.value);
  if (!other) return [`${uid}: relation to a UID that is not in the feed`];
  const { RELTYPE, GAP } = line.parameters;
  if (RELTYPE === 'DEPENDS-ON')
    return value(event, 'DTSTART') >= value(other, 'DTSTART')
      ? []
      : [`${uid}: depends on a later task`];
  if (RELTYPE !== 'FINISHTOSTART') return [`${uid}: relation of type ${RELTYPE}`];
  if (GAP !== undefined && !/^P[1-9]\d*D$/.test(GAP)) return [`${uid}: GAP ${GAP}`];
  const gapDays = GAP === undefined ? 0 : Number(GAP.slice(1, -1));
  return dayOf(value(other, 'DTSTART')) >= dayOf(value(event, 'DTEND')) + gapDays
    ? []
    : [`${uid}: the successor starts inside the gap`];
}
