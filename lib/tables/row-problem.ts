import type { Refusal } from '../core/result'

/** What is wrong with one row of a list, named by its line in the file (the first line is 1). */
export interface RowProblem extends Refusal {
  line: number
  /** Set when the problem takes a run of lines with it. */
  lastLine?: number
  /** `bad`: the row can't be imported. `doubt`: it can, but somebody should look. */
  severity: 'bad' | 'doubt'
  /** Set when the row is only refused because its day is far from the meeting's first one. */
  otherDay?: { year: number; month: number; day: number }
}

export const badRow = (
  line: number,
  field: string,
  value: string,
  reason: string,
  remedy: string,
): RowProblem => ({ line, field, value, reason, remedy, severity: 'bad' })

export const doubtfulRow = (
  line: number,
  field: string,
  value: string,
  reason: string,
  remedy: string,
): RowProblem => ({ line, field, value, reason, remedy, severity: 'doubt' })

export const isBad = (p: RowProblem): boolean => p.severity === 'bad'

/** Every line that a bad row takes out of the import. */
export function badLines(problems: readonly RowProblem[]): Set<number> {
  const lines = new Set<number>()
  for (const p of problems)
    if (isBad(p)) for (let line = p.line; line <= (p.lastLine ?? p.line); line++) lines.add(line)
  return lines
}
