import type { RunResult } from '../board'
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
  classText: string
}

export interface ListedResult {
  line: number
  racer: ListedRacer
  heat: ListedHeatName
  result: RunResult
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
