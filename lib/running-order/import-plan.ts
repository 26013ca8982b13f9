import type { Json } from '../core/json'
import type { Heat } from '../board/collections'
import type { CarMatch } from './match-cars'
import type { RowProblem } from '../tables/row-problem'
import type { ListedEntry, ListedHeat } from './running-order'

/** What a person decides about how a running order meets the board. */
export interface ImportChoices {
  /** By `classKey` of the file's text: a class of the meeting, or `NEW_CLASS`. */
  classes: Readonly<Record<string, string>>
  /** By `racerKey`: a car of the kit, or null for not ours. */
  cars: Readonly<Record<string, string | null>>
  /** Heats that stay although the file does not list them any more. */
  keepHeatIds: readonly string[]
  /** Rows that can't be read are left out; without this, one bad row stops the whole import. */
  leaveOutBad: boolean
}
export const NEW_CLASS = 'new'
export const NO_CHOICES: ImportChoices = { classes: {}, cars: {}, keepHeatIds: [], leaveOutBad: false }

/** A class text of the file, and which class of the meeting it means. */
export interface ClassQuestion {
  key: string
  text: string
  /** A class id, `NEW_CLASS`, or null while nobody has said. */
  answer: string | null
  /** Found by its name; a person may correct it. */
  guessed: boolean
  heats: number
  firstLine: number
}

export interface PlannedEntry {
  entryId: string
  listed: ListedEntry
  racer: string
  match: CarMatch
  /** The car that the entry will have on the board. */
  carId: string | null
  /** Nobody has said yet whether it is one of ours: the import waits. */
  ask: boolean
}

export interface PlannedHeat {
  heatId: string
  listed: ListedHeat
  status: 'new' | 'same' | 'changed' | 'returned'
  entries: PlannedEntry[]
}

/** A heat of the file whose class is known. */
export interface ResolvedHeat {
  listed: ListedHeat
  roundId: string
  classId: string | null
  className: string
  heatId: string
  existing: Heat | undefined
}

/** How a heat is named in a list of changes. */
export interface HeatTitle {
  heatId: string
  round: string
  className: string
  /** `Heat 5`, `A final`, or what a break is called. */
  name: string
}

/** One thing that the import changes, or leaves as it is against the file. */
export type OrderChange = { ours: boolean } & (
  | { kind: 'class-added'; name: string }
  | { kind: 'round-added'; name: string }
  | { kind: 'heat-added'; heat: HeatTitle; entries: number }
  | { kind: 'heat-dropped'; heat: HeatTitle; entries: number; held: string[] }
  | { kind: 'heat-kept'; heat: HeatTitle; why: 'started' | 'rows-left-out' | 'chosen' }
  | { kind: 'heat-returned'; heat: HeatTitle }
  | { kind: 'time-moved'; heat: HeatTitle; from: number | null; to: number }
  | { kind: 'heats-swapped'; heat: HeatTitle; other: HeatTitle }
  | { kind: 'entry-added'; heat: HeatTitle; driver: string }
  | { kind: 'entry-removed'; heat: HeatTitle; driver: string; held: string[] }
  | { kind: 'entry-kept'; heat: HeatTitle; driver: string; why: 'started' | 'rows-left-out' }
  | { kind: 'entry-returned'; heat: HeatTitle; driver: string }
  | { kind: 'entry-moved'; from: HeatTitle; heat: HeatTitle; driver: string }
  | { kind: 'entry-changed'; heat: HeatTitle; driver: string; what: string; from: string; to: string }
)

export interface PlannedWrite {
  collection: 'classes' | 'rounds' | 'heats' | 'entries'
  recordId: string
  field: string
  value: Json
}

/** Everything an import would do to the board, before it does it. */
export interface ImportPlan {
  problems: RowProblem[]
  /** Lines left out because of bad rows. */
  badLineCount: number
  classes: ClassQuestion[]
  heats: PlannedHeat[]
  changes: OrderChange[]
  writes: PlannedWrite[]
  /** Racers, by `racerKey`, of whom somebody must say whether they are ours before anything is imported. */
  open: string[]
  /** Nothing on the board yet: the changes are the whole file. */
  firstImport: boolean
}
