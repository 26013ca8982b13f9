import type SqliteDatabase from 'better-sqlite3'
import type { BoardPlace, ProcessWorld } from './board-process'
import type { NetworkWeather } from './simulated-line'
import type { Actor } from './simulated-time'

export interface BoardWorld extends ProcessWorld {
  readonly weather: NetworkWeather
  /** Does what somebody does who looks after the board. */
  readonly hand: Actor
}

/** The server's half of a day, of one process or several, with all that can go wrong there. */
export interface BoardSide {
  /** In service, the day's meeting on it. */
  open(): Promise<void>
  /** Where a phone's next call goes; null where nobody listens. */
  door(): BoardPlace | null
  /** Something goes wrong, or right again. */
  step(): void
  /** All faults end. */
  heal(): void
  /** The tables as the next start would find them. */
  look(read: (tables: SqliteDatabase.Database) => void): void
  stop(): void
}
