/**
 * Something that is wrong with input or with a plan, as data.
 * `message` is one sentence that names the field and the fix; `code` is stable for tests and links.
 */
export interface Problem {
  code: string;
  message: string;
  /** Form field, file column or JSON path. */
  field?: string;
  /** 1-based line or row of a file. */
  line?: number;
  /** Task key, unit code or the like that the problem is about. */
  ref?: string;
}

export type Outcome<T> = { ok: true; value: T } | { ok: false; problems: Problem[] };
