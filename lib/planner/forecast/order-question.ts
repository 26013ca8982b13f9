import type { ForecastHeat, ForecastPrior } from './forecast-types'
import { finishOf, observedGaps, type ObservedGaps } from './observed-gaps'
import { plannedGaps, type LiveHeat } from './planned-gaps'

/** The beliefs before the first stamp; common practice, no source, and soon outweighed by the day itself. */
export const defaultPrior = { worthGaps: 3, minBreakShare: 0.5, overrunSeconds: 25 } as const

/**
 * All that the draws for a running order rest on. The clock is in it only as far as it must be: while nobody stamps, the question stays the same by
 * value, and so does what was drawn for it.
 */
export interface OrderQuestion {
  live: readonly LiveHeat[]
  seen: ObservedGaps
  /** The plan's ordinary gap, s. */
  usualSeconds: number
  worthGaps: number
  /** Stamped finish of the heat that started last, ms since the epoch; null without one, or with one that can't be true. */
  finish: number | null
  /** When a day without any stamp begins, ms since the epoch; null once there is one. */
  dayStart: number | null
}

/** What is drawn: the heats after the last one that has begun for certain. */
export const comingHeats = ({ live, seen }: OrderQuestion): readonly LiveHeat[] =>
  live.slice(seen.lastIndex + 1)

export function orderQuestion(input: {
  heats: readonly ForecastHeat[]
  now: number
  prior?: ForecastPrior
}): OrderQuestion {
  const prior = { ...defaultPrior, ...input.prior }
  const { live, usualSeconds } = plannedGaps(input.heats, prior)
  const seen = observedGaps(live, usualSeconds, input.now, prior.overrunSeconds)
  const latest = live[seen.latestIndex]
  return {
    live,
    seen,
    usualSeconds,
    worthGaps: prior.worthGaps,
    finish: latest ? finishOf(latest, input.now) : null,
    dayStart: latest ? null : (live[0]?.heat.plannedStart ?? input.now),
  }
}
