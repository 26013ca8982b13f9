import { ok, refuse, type Result } from '../core/result'
import { addDays, weekdayOf, type Day, type When } from './planned-time'
import type { ReadingChoices } from './running-order'

/** A jump back by more than this is a new day; a smaller one is a slip of the pen. Common practice, no source. */
const NEW_DAY_JUMP_MS = 6 * 3600_000
const DAYS_AHEAD = 14

export interface PlannedStart {
  /** ms since the epoch. */
  at: number
  /** Earlier than the start read before it. */
  backwards: boolean
  /** As the file prints it. */
  shown: string
  /** Does another row give the same start? */
  saysTheSame(when: When): boolean
}

/** Turns times of day into instants while walking down the file: days named once hold for the rows below, and midnight is noticed. */
export class DayWalk {
  #day: Day
  #last: number | null = null
  readonly #choices: ReadingChoices
  /** The day that the last start was refused for; null when it was not, or for another reason. */
  refusedDay: Day | null = null
  constructor(choices: ReadingChoices) {
    this.#day = choices.firstDay
    this.#choices = choices
  }

  /** A day named on a line of its own, or in a column. A weekday is the next one of its name. */
  setDay(when: When): void {
    if (when.day) this.#day = when.day
    else if (when.weekday !== undefined) {
      const from = this.#last === null ? this.#choices.firstDay : this.#day
      this.#day = addDays(from, (when.weekday - weekdayOf(from) + 7) % 7)
    }
  }

  startAt(when: When, shown: string): Result<PlannedStart> {
    this.setDay(when)
    this.refusedDay = null
    const clock = when.clock
    if (!clock)
      return refuse('Planned start', shown, 'has a day but no time', 'Write it like 9:05, 14:20 or 2:20 PM.')
    const { toInstant, rollOver, firstDay } = this.#choices
    let at = when.instant ?? toInstant(this.#day, clock)
    const namesDay = when.day !== undefined || when.weekday !== undefined
    if (!namesDay && rollOver && this.#last !== null && at < this.#last - NEW_DAY_JUMP_MS) {
      this.#day = addDays(this.#day, 1)
      at = toInstant(this.#day, clock)
    }
    const within = (days: number) => toInstant(addDays(firstDay, days), clock)
    if (at > within(DAYS_AHEAD) || at < within(-DAYS_AHEAD)) {
      this.refusedDay = this.#day
      return refuse(
        'Planned start',
        shown,
        `is more than ${DAYS_AHEAD} days away from the first day of the meeting`,
        'Check the meeting’s first day, the date in the file, or the order of day and month.',
      )
    }
    const backwards = this.#last !== null && at < this.#last
    this.#last = at
    const day = this.#day
    const sameDay = (other: When) => !other.day || JSON.stringify(other.day) === JSON.stringify(day)
    return ok({
      at,
      backwards,
      shown,
      saysTheSame: (other) =>
        other.instant !== undefined
          ? other.instant === at
          : other.clock !== undefined && sameDay(other) && toInstant(day, other.clock) === at,
    })
  }
}
