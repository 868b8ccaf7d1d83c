/**
 * Where a default comes from. `published`: read in the named source. `common-practice`: widely done,
 * no source. `default-to-edit`: our own judgement or memory; never shown as a published figure.
 */
export type Status = 'published' | 'common-practice' | 'default-to-edit';

export interface Source {
  status: Status;
  /** Document, year and place in it; for a default to edit, whose judgement it is. */
  source: string;
}
