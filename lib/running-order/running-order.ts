import type { DateOrder, Day, ToInstant } from './planned-time'
import type { RowProblem } from '../tables/row-problem'

/** One racer in one heat, as the file lists it. */
export interface ListedEntry {
  line: number
  driverName: string
  carNumber: string
  transponder: string
  gridPosition: number | null
}

/** One heat or break, as the file lists it. */
export interface ListedHeat {
  /** Line on which the heat is first named. */
  line: number
  /** Round, class and number folded: the same heat in a corrected file has the same key. */
  key: string
  round: string
  /** Empty when the file names none. */
  classText: string
  number: number
  /** What the file calls it when that is more than a number. */
  label: string
  /** ms since the epoch; null when the file gives no time. */
  plannedStart: number | null
  isBreak: boolean
  entries: ListedEntry[]
}

/** A file understood: what it lists, and every row that it could not be read from. */
export interface RunningOrder {
  heats: ListedHeat[]
  problems: RowProblem[]
  /** Lines above the header, which hold titles. */
  titleLines: number[]
  rowCount: number
}

/** What a person decides about how a file is read. */
export interface ReadingChoices {
  /** Day of the first row that names none. */
  firstDay: Day
  dateOrder: DateOrder
  /** For rows that name no round. */
  defaultRound: string
  /** For rows that name no class. */
  defaultClass: string
  /** A time far earlier than the one above it begins the next day. */
  rollOver: boolean
  toInstant: ToInstant
}
