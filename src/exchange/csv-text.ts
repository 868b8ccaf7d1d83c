/** Programs for tables run a cell that opens with one of these as a formula. */
const formulaStart = /^[=+\-@\t\r]/;

export type Cell = string | number | null;

/** A field of RFC 4180: quoted where it holds a comma, a quote or a line end; a formula is made plain text. */
function fieldText(value: Cell): string {
  if (typeof value === 'number') return String(value);
  const text = value ?? '';
  const plain = formulaStart.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(plain) ? `"${plain.replaceAll('"', '""')}"` : plain;
}

/** Rows as comma-separated values (RFC 4180), with CRLF after each; blank for null. */
export function csvText(rows: readonly (readonly Cell[])[]): string {
  return rows.map((row) => `${row.map(fieldText).join(',')}\r\n`).join('');
}
