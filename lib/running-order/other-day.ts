import type { Day } from './planned-time'
import type { RowProblem } from '../tables/row-problem'

/** Rows that a file dates too far from the meeting's first day: one thing is wrong, not each row. */
export interface OtherDay {
  /** The earliest day that those rows name. */
  day: Day
  rows: number
}

export function otherDayOf(problems: readonly RowProblem[]): OtherDay | null {
  const days = problems.flatMap((p) => (p.otherDay ? [p.otherDay] : []))
  const [first] = [...days].sort((a, b) => a.year - b.year || a.month - b.month || a.day - b.day)
  return first ? { day: first, rows: days.length } : null
}
