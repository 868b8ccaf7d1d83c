/**
 * Content lines of RFC 5545, sections 3.1 and 3.3.11: clean text, escaping and folding. Everything that a feed
 * says goes through here, so that no name typed by a person can open a line of its own.
 */

/** Line ends of any kind, also those that only some readers split at (vertical tab, form feed, NEL, LS, PS). */
const lineEnds = /\r\n|[\n\v\f\r\u0085\u2028\u2029]/gu;

/** Control characters may not stand in a content line (section 3.1); tab may. */
function isControl(character: string): boolean {
  const code = character.charCodeAt(0);
  return (code < 0x20 && code !== 0x09) || (code >= 0x7f && code < 0xa0);
}

/** One line of text: no line ends, no control characters, no lone surrogates. */
export function cleanLine(text: string): string {
  if (/^[ -~]*$/.test(text)) return text;
  const oneLine = text.replace(lineEnds, ' ').replace(/\p{Surrogate}/gu, '\uFFFD');
  return Array.from(oneLine)
    .filter((character) => !isControl(character))
    .join('');
}

/** TEXT value (section 3.3.11): backslash, semicolon, comma and line feed are escaped, colon and quote are not. */
export function escapeText(text: string): string {
  return text.replace(/[\\;,]/g, (character) => `\\${character}`).replaceAll('\n', '\\n');
}

const octetsMost = 75;

/**
 * Folds one content line: no physical line over 75 octets, the leading space counted, and none split inside a
 * character. Ends with CRLF.
 */
export function foldLine(line: string): string {
  const lineOctets = Buffer.byteLength(line);
  if (lineOctets <= octetsMost) return `${line}\r\n`;
  // One octet a character: cut by length, which is much quicker than to walk along.
  if (lineOctets === line.length) {
    const rest = line.slice(octetsMost).match(/.{1,74}/gs) ?? [];
    return `${[line.slice(0, octetsMost), ...rest].join('\r\n ')}\r\n`;
  }
  let folded = '';
  let octets = 0;
  for (const character of line) {
    const size = Buffer.byteLength(character);
    if (octets + size > octetsMost) {
      folded += '\r\n ';
      octets = 1;
    }
    folded += character;
    octets += size;
  }
  return `${folded}\r\n`;
}
