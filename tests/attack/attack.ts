import type { Ground } from './ground'

/** One attempt to break a rule of the board, against the real server process. */
export interface Attack {
  /** The sync rule that must hold, such as `S24`. */
  rule: string
  title: string
  /** Runs inside `npm test` too, in the minute that all short ones have together. */
  short: boolean
  run(ground: Ground): Promise<Outcome>
}

export interface Outcome {
  held: boolean
  /** False when the machine was too busy to tell: neither held nor got through. */
  judged?: boolean
  /** What was seen, with figures. */
  detail: string
}

/** What several conditions say together: held only when each did, and what was seen of all. */
export function outcomeOf(conditions: readonly (readonly [held: boolean, seen: string])[]): Outcome {
  return {
    held: conditions.length > 0 && conditions.every(([held]) => held),
    detail: conditions.map(([held, seen]) => (held ? seen : `NOT HELD: ${seen}`)).join('; '),
  }
}
