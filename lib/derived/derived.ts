import type { BoardView } from '../board'
import type { LongFact } from './worked-out'

/** Where a board remembers what was derived from it. Found on the board itself, so that a fact asked for by another one is shared with everybody. */
export const MEMORY = Symbol('memory')

export interface Memory {
  /** What `make` gives for this fact and key; made anew only when something that it read has changed. */
  recall<T>(fact: object, key: string, make: () => T): T
  /** What is known of a long fact so far; absent where everything is worked out at once. */
  longAnswer?<Q, A>(fact: LongFact<never, Q, A>, question: Q): A
}

/** What follows the clock does so in steps of this length or of a multiple of it, ms: nobody sees a difference within one. */
export const TURN_MS = 5000

/** The board's records and its clock: what facts are derived from, and nothing else. */
export type Board = BoardView & {
  /** Server time, ms since the epoch, cut to whole steps: a fact is derived anew only as often as its step turns. */
  now(stepMs: number): number
  readonly [MEMORY]: Memory
}

/**
 * A fact: a function of the board and some ids, remembered by whichever board it is asked of (`BoardGraph`, `frozenBoard`). `make` reads records and clock
 * through the board that it is handed; what it read is tracked and never listed. A plain `BoardView` remembers nothing: the fact is then just computed.
 *
 * @example const openOf = derived((board: BoardView, carId: string) => followUpsOf(board, carId).filter(isOpen))
 */
export function derived<V extends object, K extends readonly string[], T>(
  make: (board: V, ...key: K) => T,
): (board: V, ...key: K) => T {
  const fact = (board: V, ...key: K): T => {
    const memory = (board as { [MEMORY]?: Memory })[MEMORY]
    return memory ? memory.recall(fact, key.join('\n'), () => make(board, ...key)) : make(board, ...key)
  }
  return Object.assign(fact, { [FACT]: true as const })
}

const FACT = Symbol('fact')
/** Was this made by `derived`? So that a test can ask every fact that there is. */
export const isFact = (x: unknown): x is (board: Board, ...key: string[]) => unknown =>
  typeof x === 'function' && FACT in x
