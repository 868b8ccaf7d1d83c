/** Name and version of the document; another version is refused. */
export const documentFormat = 'seasonwright-operation';
export const documentVersion = 1;

/** A photo that goes with the document, in the folder beside it. */
export interface PhotoFile {
  name: string;
  bytes: number;
  /** SHA-256 of the file, hexadecimal. */
  sha256: string;
}

/** What stands before the rows. */
export interface DocumentHead {
  format: string;
  version: number;
  /** Version of the program that wrote it. */
  program: string;
  /** Last migration of the database that it was written from: names the fields there are. */
  schema: string;
  /** UTC instant. */
  exportedAt: string;
  /** Readings, forecasts and what was counted from them are in it. */
  hasWeather: boolean;
  /** Highest number that each table gave out: a number is never given twice. */
  sequences: Record<string, number>;
  /** Type of each field by table, as SQLite names it. */
  fields: Record<string, Record<string, string>>;
  photos: PhotoFile[];
}

/** A row by field; JSON stands as JSON, bytes as `{ "base64": … }`. */
export type DocumentRow = Record<string, unknown>;

/** A part of a document as it is read: each field of the head, each row with its place, and the counts at the end. */
export type DocumentPart =
  | { kind: 'head'; head: DocumentHead }
  | { kind: 'row'; table: string; row: DocumentRow; number: number; line: number }
  | { kind: 'end'; rows: Record<string, number> };
