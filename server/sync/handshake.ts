import { never } from '@/lib/core/assert'
import type { Barrier } from '@/lib/sync/frames'

/**
 * [S8] How far it is known that everything a socket sent was taken or answered: only then are its barriers acknowledged. Drawn in
 * lib/sync/SPEC.md, "Handshake".
 */
export type Handshake =
  /**
   * It has not answered the server's question yet. `asked`: what it said it had when it asked for the document, which it gets only after its
   * answer [S6]. `held`: its newest barrier.
   */
  | { state: 'unanswered'; asked: Uint8Array | null; held: Barrier | null }
  | { state: 'proven' }
  /** Since its last answer something of it was refused or could not be stored. */
  | { state: 'doubted'; held: Barrier | null }
  /** [S24] It was told to start anew: its document holds what was refused whole, so nothing that rests on it can be taken. */
  | { state: 'anew' }

export const UNANSWERED: Handshake = { state: 'unanswered', asked: null, held: null }
export const PROVEN: Handshake = { state: 'proven' }
export const ANEW: Handshake = { state: 'anew' }

/** Something of it was refused, or is not on disk. */
export function doubted(is: Handshake): Handshake {
  switch (is.state) {
    case 'proven':
      return { state: 'doubted', held: null }
    case 'unanswered':
    case 'doubted':
    case 'anew':
      return is
    default:
      return never(is)
  }
}

/** It sent a barrier that can't be acknowledged now. Whoever starts anew gets none. */
export function holding(is: Handshake, barrier: Barrier): Handshake {
  switch (is.state) {
    case 'unanswered':
    case 'doubted':
      return { ...is, held: barrier }
    case 'proven':
      return { state: 'doubted', held: barrier }
    case 'anew':
      return is
    default:
      return never(is)
  }
}

/** It answered the server's question with something that was not taken in. */
export const answeredInVain = (is: Handshake): Handshake =>
  is.state === 'unanswered' ? { state: 'doubted', held: is.held } : doubted(is)

/** The barrier that is acknowledged once an answer was taken in. */
export const heldBy = (is: Handshake): Barrier | null => ('held' in is ? is.held : null)

/** What a socket said it had, whose question waits for its answer. */
export const askedBy = (is: Handshake): Uint8Array | null => ('asked' in is ? is.asked : null)
