import type { CardProjections } from '@/lib/card'
import type { Asked } from '@/app/threads/desk'
import type { LapPart } from './projection-messages'

/** What a screen shows of one card's simulator part. */
export interface LapState {
  /** The last good projections of this card; null before the first. */
  projections: { withSpread: boolean; figures: CardProjections['figures'] } | null
  /** They are of an earlier state of the card: another is being computed, or this state can't be. */
  stale: boolean
  /** The ± is being worked out still. */
  roughly: boolean
  /** Why this state of the card can't be projected. */
  problem: string | null
  /** Start the thread anew: there where it is what failed. */
  retry?: (() => void) | undefined
}

/** What the desk knows beside the ground that the card stands on now. `problem`: it can't be projected, whatever the ground says. */
export function lapState(
  { answer, asked, of, failed, retry }: Asked<LapPart>,
  key: string,
  problem: string | null,
): Omit<LapState, 'projections'> {
  const why = problem ?? (asked === key ? failed : null)
  const stale = answer !== null && (why !== null || of !== key)
  const roughly = answer !== null && !stale && !answer.withSpread
  return { stale, roughly, problem: why, retry: why !== null && why === failed ? retry : undefined }
}
