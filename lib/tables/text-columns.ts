import type { TableRow } from './read-table'
import { tidyCell } from './tidy-cell'

const chunks = (line: string): number => line.trim().split(/ {2,}/).length

/** Blanks of any width as one each, so that columns stand where they are seen. */
const plainLines = (text: string): string[] => text.replace(/[\u00a0\u2007\u202f]/g, ' ').split('\n')

/** Commas that part cells: not those of a decimal (`5:03,921`), nor those of a name (`Oduya, Maren`). */
const PARTING_COMMA = /(?<!\d),|,(?!\d)/g
const partingCommas = (line: string): number =>
  [...line.matchAll(PARTING_COMMA)].filter(({ index }) => !/^ [^ ]/.test(line.slice(index + 1, index + 3)))
    .length

/** Do most lines have wide gaps, and none of the usual delimiters? */
export function isInColumns(text: string): boolean {
  const lines = plainLines(text)
    .filter((l) => l.trim() !== '')
    .slice(0, 100)
  const gapped = lines.filter((l) => chunks(l) >= 3 && !/[;\t|]/.test(l) && partingCommas(l) < 3)
  return lines.length > 0 && gapped.length >= lines.length * 0.6
}

/**
 * Text set in columns by blanks, as a printout is when it is copied. Cells are cut at the blank columns that every line of the table has: a cell that is
 * empty stays empty. A line that is no part of it, a heading for example, is one cell.
 *
 * @param text with `\n` as the only line break
 */
export function readColumns(text: string): TableRow[] {
  const lines = plainLines(text)
  const table = lines.filter((l) => chunks(l) >= 3)
  const width = Math.max(0, ...table.map((l) => l.length))
  const cuts: number[] = []
  let blanks = 0
  for (let at = 0; at < width; at++) {
    if (table.every((l) => (l[at] ?? ' ') === ' ')) blanks++
    else {
      if (blanks >= 2 && at > blanks) cuts.push(at)
      blanks = 0
    }
  }
  return lines.flatMap((text, i): TableRow[] => {
    if (text.trim() === '') return []
    const line = i + 1
    const isTable = chunks(text) >= 2 && cuts.every((cut) => isCut(text, cut))
    if (!isTable) return [{ line, lastLine: line, cells: [tidyCell(text)] }]
    const at = [0, ...cuts, Math.max(text.length, width)]
    return [{ line, lastLine: line, cells: at.slice(1).map((end, n) => tidyCell(text.slice(at[n], end))) }]
  })
}

/** The two places before a cell are blank. */
const isCut = (text: string, cut: number): boolean =>
  text.length <= cut || (text[cut - 1] === ' ' && text[cut - 2] === ' ')
