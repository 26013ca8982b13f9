import type { RunResult } from '../board'
import type { SectionLine } from '../running-order/section-line'
import type { RowProblem } from '../tables'

/** Who a row is about, as the list names them. */
export interface ListedRacer {
  driverName: string
  carNumber: string
  transponder: string
}

/** Which heat a row belongs to, as far as the list says. */
export interface ListedHeatName {
  number: number | null
  round: string
  /** As a column has it. */
  classText: string
  /** What a heading says beside heat and round: a class perhaps, perhaps something else. */
  heading: string
}
export const NO_HEAT: ListedHeatName = { number: null, round: '', classText: '', heading: '' }

/** What a heading says for the rows below it; a heat without a round of its own is in the round named `above`. */
export const headingOf = ({ heat, round, classText }: SectionLine, above = ''): ListedHeatName => ({
  number: heat?.number ?? null,
  round: heat?.round ?? round ?? above,
  classText: '',
  heading: classText ?? '',
})

export interface ListedResult {
  line: number
  racer: ListedRacer
  heat: ListedHeatName
  result: RunResult
  /** Of a car that did not finish: what the list leaves open, where `result` has 0. */
  lacks: readonly ('laps' | 'seconds')[]
  /** Somebody should look, though it is taken. */
  doubt: RowProblem | null
}

export interface ListedLaps {
  line: number
  racer: ListedRacer
  heat: ListedHeatName
  laps: number[]
}

export interface ReadList {
  results: ListedResult[]
  laps: ListedLaps[]
  problems: RowProblem[]
}

export const isNobody = (r: ListedRacer): boolean =>
  r.driverName === '' && r.carNumber === '' && r.transponder === ''
export const racerText = (r: ListedRacer): string =>
  r.driverName ||
  (r.carNumber && `car ${r.carNumber}`) ||
  (r.transponder && `transponder ${r.transponder}`) ||
  'Nobody'
