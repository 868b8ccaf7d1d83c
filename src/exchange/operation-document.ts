import {
  type DocumentHead,
  type DocumentPart,
  type DocumentRow,
  documentFormat,
  documentVersion,
} from '../core/operation-document.ts';

/** Rows of a table, one after the other. */
export interface DocumentTable {
  name: string;
  rows: Iterable<DocumentRow>;
}

/** The text of a document in pieces, one row a line, so that no more than a row is held at a time. */
export function* writeDocument(
  head: DocumentHead,
  tables: Iterable<DocumentTable>,
): Generator<string> {
  yield `{\n${Object.entries(head)
    .map(([key, value]) => `${JSON.stringify(key)}: ${JSON.stringify(value)},\n`)
    .join('')}"tables": {`;
  const counts: Record<string, number> = {};
  for (const { name, rows } of tables) {
    const isFirst = Object.keys(counts).length === 0;
    yield `${isFirst ? '' : ','}\n${JSON.stringify(name)}: [`;
    let count = 0;
    for (const row of rows) {
      yield `${count === 0 ? '' : ','}\n${JSON.stringify(row)}`;
      count += 1;
    }
    counts[name] = count;
    yield '\n]';
  }
  yield `\n},\n"rows": ${JSON.stringify(counts)}\n}\n`;
}

/** A document that can not be taken: the sentence names the place. */
export class DocumentFault extends Error {}

/** Longest value of a document, characters: a row with the largest boundary is far below. */
const valueCharactersMost = 32 * 1024 * 1024;

/** Reads JSON text piece by piece. */
function scanner(chunks: Iterable<string>) {
  const pieces = chunks[Symbol.iterator]();
  let text = '';
  let at = 0;
  let line = 1;
  const fill = (): boolean => {
    const next = pieces.next();
    if (next.done) return false;
    text = next.value;
    at = 0;
    return text !== '' || fill();
  };
  const peek = (): string => (at < text.length || fill() ? (text[at] ?? '') : '');
  const take = (): string => {
    const one = peek();
    at += 1;
    if (one === '\n') line += 1;
    return one;
  };
  const fault = (what: string): DocumentFault => new DocumentFault(`Line ${line}: ${what}`);
  const space = (): void => {
    while (' \t\r\n'.includes(peek()) && peek() !== '') take();
  };
  /** Text of the next value, whatever it holds. */
  const value = (): string => {
    const parts: string[] = [];
    let [start, length, depth, isText, isEscaped] = [at, 0, 0, false, false];
    for (;;) {
      if (at >= text.length) {
        parts.push(text.slice(start, at));
        if (!fill()) throw fault('the document ends in the middle; it may not be whole.');
        start = 0;
      }
      const one = text[at] ?? '';
      if (!isText && depth === 0 && length > 0 && ',]} \t\r\n'.includes(one)) break;
      at += 1;
      length += 1;
      if (length > valueCharactersMost) throw fault('a value is longer than any can be.');
      // JSON has no line end inside a text: a quote was lost.
      if (one === '\n' && isText)
        throw fault('a text is not closed; the document is damaged there.');
      if (one === '\n') line += 1;
      if (isEscaped) isEscaped = false;
      else if (isText && one === '\\') isEscaped = true;
      else if (one === '"') isText = !isText;
      else if (!isText && (one === '{' || one === '[')) depth += 1;
      else if (!isText && (one === '}' || one === ']')) depth -= 1;
      if (!isText && depth === 0 && (one === '}' || one === ']' || one === '"')) break;
    }
    parts.push(text.slice(start, at));
    return parts.join('');
  };
  return { peek, take, space, fault, value, line: () => line };
}

type Scanner = ReturnType<typeof scanner>;

function parsed(scan: Scanner, line: number, what: string): unknown {
  const text = scan.value();
  try {
    return JSON.parse(text);
  } catch {
    throw new DocumentFault(`Line ${line}: ${what} is not JSON; the document is damaged there.`);
  }
}

/** Calls `read` with each key of an object, at its value. */
function* members(scan: Scanner, what: string): Generator<string> {
  scan.space();
  if (scan.take() !== '{') throw scan.fault(`${what} is not an object in braces.`);
  for (let isFirst = true; ; isFirst = false) {
    scan.space();
    if (scan.peek() === '}') {
      scan.take();
      return;
    }
    if (!isFirst && scan.take() !== ',') throw scan.fault(`a comma is missing in ${what}.`);
    scan.space();
    if (scan.peek() === '}') throw scan.fault(`a name is missing in ${what}.`);
    const key = parsed(scan, scan.line(), `a name in ${what}`);
    scan.space();
    if (typeof key !== 'string' || scan.take() !== ':')
      throw scan.fault(`a name and a colon are missing in ${what}.`);
    scan.space();
    yield key;
  }
}

function* rowsOf(scan: Scanner, table: string): Generator<DocumentPart> {
  if (scan.take() !== '[') throw scan.fault(`the rows of ${table} are not a list.`);
  for (let number = 1; ; number += 1) {
    scan.space();
    if (scan.peek() === ']') {
      scan.take();
      return;
    }
    if (number > 1 && scan.take() !== ',') throw scan.fault(`a comma is missing in ${table}.`);
    scan.space();
    const line = scan.line();
    const row = parsed(scan, line, `${table}, row ${number},`);
    if (typeof row !== 'object' || row === null || Array.isArray(row))
      throw new DocumentFault(`Line ${line}: ${table}, row ${number}, is not a row in braces.`);
    yield { kind: 'row', table, row: row as DocumentRow, number, line };
  }
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** The head once every field of it was read; throws a DocumentFault that names the field. */
function headOf(fields: Record<string, unknown>): DocumentHead {
  if (fields['format'] !== documentFormat)
    throw new DocumentFault(
      `This is no document of a whole operation: "format" is not ${documentFormat}.`,
    );
  if (fields['version'] !== documentVersion)
    throw new DocumentFault(
      `The document has version ${String(fields['version'])}; this program reads version ${documentVersion}. Use the program that wrote it, or a newer one.`,
    );
  const wrong = (['program', 'schema', 'exportedAt'] as const).find(
    (key) => typeof fields[key] !== 'string',
  );
  if (wrong) throw new DocumentFault(`"${wrong}" is missing before "tables".`);
  const { sequences, photos } = fields;
  if (!isRecord(sequences) || !Object.values(sequences).every(Number.isSafeInteger))
    throw new DocumentFault('"sequences" does not name a whole number a table.');
  const isPhoto = (one: unknown) =>
    isRecord(one) &&
    typeof one['name'] === 'string' &&
    Number.isSafeInteger(one['bytes']) &&
    /^[0-9a-f]{64}$/.test(String(one['sha256']));
  if (!Array.isArray(photos) || !photos.every(isPhoto))
    throw new DocumentFault('"photos" does not list name, bytes and sha256 of each photo.');
  return { fields: {}, hasWeather: false, ...fields } as unknown as DocumentHead;
}

/**
 * Reads a document piece by piece: its head, its rows, and the counts at its end. Throws a DocumentFault with a sentence
 * that names the line where it is damaged, cut off or of another version.
 */
export function* readDocument(chunks: Iterable<string>): Generator<DocumentPart> {
  const scan = scanner(chunks);
  const fields: Record<string, unknown> = Object.create(null);
  let rows: unknown = null;
  let isRead = false;
  for (const key of members(scan, 'the document')) {
    if (key === 'tables') {
      if (isRead) throw scan.fault('"tables" stands twice.');
      isRead = true;
      yield { kind: 'head', head: headOf(fields) };
      for (const table of members(scan, 'tables')) yield* rowsOf(scan, table);
      continue;
    }
    const value = parsed(scan, scan.line(), `the value of ${key.slice(0, 40)}`);
    if (key === 'rows') rows = value;
    else fields[key] = value;
  }
  scan.space();
  if (scan.peek() !== '') throw scan.fault('something follows after the end of the document.');
  if (!isRead || !isRecord(rows))
    throw new DocumentFault(
      '"tables" or the counts in "rows" are missing: the document is not whole.',
    );
  yield { kind: 'end', rows: rows as Record<string, number> };
}
