/** Rows of a long list on one page. */
export const rowsPerPage = 200;

export interface Paged<T> {
  rows: T[];
  page: number;
  pageCount: number;
  total: number;
}

/** One page of a list; a page number that is not one gives the first. */
export function paged<T>(rows: readonly T[], asked: string | undefined): Paged<T> {
  const pageCount = Math.max(1, Math.ceil(rows.length / rowsPerPage));
  const wanted = /^\d{1,6}$/.test(asked ?? '') ? Number(asked) : 1;
  const page = Math.min(Math.max(1, wanted), pageCount);
  return {
    rows: rows.slice((page - 1) * rowsPerPage, page * rowsPerPage),
    page,
    pageCount,
    total: rows.length,
  };
}
