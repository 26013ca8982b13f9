import { unknownOutcome } from '@/drizzle/postgres/client'
import type { Committed, PostgresLine } from '@/drizzle/postgres/line'

/** A write whose answer was lost, and what it changes if it took place. */
interface Unknown {
  id: number
  rooms: readonly string[]
  apply: () => void
}

/** Of a write whose answer was lost nothing is guessed: the database is asked as soon as it answers again, and nothing is written before. */
export class LostAnswer {
  readonly #line: PostgresLine
  readonly #tookPlace: (rooms: readonly string[]) => void
  #unknown: Unknown | null = null
  #found: readonly string[] = []

  /** `tookPlace` is told of the rooms of a write that is found to have been stored. */
  constructor(line: PostgresLine, tookPlace: (rooms: readonly string[]) => void) {
    this.#line = line
    this.#tookPlace = tookPlace
  }

  /** @throws DatabaseError while it is not known what became of a write, and what was found has not been taken */
  check(): void {
    if (this.#unknown !== null || this.#found.length > 0) throw unknownOutcome()
  }

  /** What a write changes counts when it is known to have taken place. @throws DatabaseError when its answer was lost */
  committed(done: Committed, rooms: readonly string[], apply: () => void): void {
    if ('committed' in done) return apply()
    this.#unknown = { id: done.lost, rooms, apply }
    throw unknownOutcome()
  }

  findOut(): void {
    if (this.#unknown === null || !this.#line.isUp) return
    const { id, rooms, apply } = this.#unknown
    if (this.#line.outcome(id)) {
      apply()
      this.#found = [...this.#found, ...rooms]
      this.#tookPlace(rooms)
    }
    this.#unknown = null
  }

  /** Rooms of writes that were found to have taken place, each told once. */
  take(): readonly string[] {
    this.findOut()
    const found = this.#found
    this.#found = []
    return found
  }
}
