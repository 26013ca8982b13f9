import type { DocKind } from '../board'
import type { Json } from '../core/json'
import type { Refusal } from '../core/result'
import type { RowProblem } from '../tables'
import type { ListColumn } from './list-columns'

/** One field that the file changes. */
export interface ListChange {
  line: number
  recordId: string
  /** What the record is called. */
  name: string
  field: string
  label: string
  before: Json | undefined
  after: Json
  /** As cells show them. */
  was: string
  is: string
  isNew: boolean
  /** The board's value was signed after the file was made: the file knows nothing of it, edited or not. */
  isStale?: true
}

export interface ListPlan {
  doc: DocKind
  collection: string
  changes: ListChange[]
  /** Changes of what is on the board that this person may not make, or that the board is ahead of, and why. They are left out. */
  refused: { change: ListChange; why: Refusal }[]
  /** Rows that can't be read, and new ones of which a value is refused. They are left out whole. */
  problems: RowProblem[]
  /** Rows of which something is written: new ones, and others. */
  added: number
  changed: number
  same: number
  /** On the board and not in the file: they stay. */
  missing: number
  /** Headers that name no column of this list. */
  unknown: string[]
}

/** A column of the list, and where in the file's rows it stands. */
export interface MappedColumn {
  column: ListColumn
  at: number
}

/** An empty text, an absent field and an emptied one all stand as an empty cell. */
export const asCell = (value: Json | undefined): Json => (value === undefined || value === '' ? null : value)
