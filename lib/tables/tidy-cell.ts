/** A cell's text, trimmed, with single spaces: no-break and zero-width blanks come along when a table is copied from a page or a sheet. */
export const tidyCell = (cell: string): string =>
  cell
    .replace(/[\u200b\u200c\u200d\ufeff]/g, '')
    .replace(/[\s\u00a0\u2007\u202f]+/g, ' ')
    .trim()
