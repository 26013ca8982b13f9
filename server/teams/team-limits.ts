import type { Limits } from '../sync/limits'
import type { Rate } from '../sync/budgets'

/** What one board may take of a server that it has not to itself. */
export interface BoardLimits {
  sync: Partial<Limits>
  /** All photos together, bytes. */
  photoBytes: number
  /** The whole database, bytes; SQLite keeps to it by itself. */
  boardBytes: number
  /** The server's time, for everybody of the board together. */
  time: Rate
}

const MIB = 2 ** 20

/** Our choice: a big team's weekend fits several times, and a handful of teams that try can't take all there is. */
export const TEAM_LIMITS: BoardLimits = {
  sync: { sockets: 400, guestSockets: 160, socketsPerGuestCode: 120 },
  photoBytes: 512 * MIB,
  boardBytes: 1024 * MIB,
  // Half of one processor on the long run.
  time: { perSecond: 500, burst: 8_000 },
}

/** Boards that are open at once. One of PostgreSQL has a connection and a thread. */
export const OPEN_TEAMS = { sqlite: 200, postgres: 40 }
