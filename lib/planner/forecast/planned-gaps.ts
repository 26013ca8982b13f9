import type { ForecastHeat } from './forecast-types'

/** A heat that will run or has run, with what the plan says about the time before it. */
export interface LiveHeat {
  heat: ForecastHeat
  /** Planned time from the end of the previous race clock to this start; null before the first heat of the day. */
  plannedGapSeconds: number | null
  isBreak: boolean
  /** The least time between the previous heat's end and this start when a break comes between. */
  minBreakSeconds: number
}

export interface PlannedGaps {
  live: LiveHeat[]
  /** The plan's ordinary gap: the median of its gaps. */
  usualSeconds: number
}

/** With no usable gap in the plan at all: common practice, no source. */
const FALLBACK_GAP_SECONDS = 150
/**
 * A planned gap this much over the usual one is a break, which swallows drift, and no longer a slow turnaround, which
 * passes it on. Common practice, no source: marshals change and results are posted in under five minutes.
 */
const BREAK_OVER_USUAL_SECONDS = 300
const BREAK_OVER_USUAL_SHARE = 1.5

export const median = (values: readonly number[]): number | null => {
  if (values.length === 0) return null
  const s = [...values].sort((a, b) => a - b)
  const mid = s.length >> 1
  const high = s[mid] ?? 0
  return s.length % 2 ? high : ((s[mid - 1] ?? high) + high) / 2
}

/**
 * Reads the gaps out of a running order. A gap belongs to the heat after it. When heats between are dropped the
 * largest of their gaps remains, so that a lunch break does not vanish with the heat that followed it. A gap that the
 * plan makes absurd (an inserted round overlaps the next one's times) counts as a usual gap.
 */
export function plannedGaps(
  heats: readonly ForecastHeat[],
  prior: { gapSeconds?: number; minBreakShare: number },
): PlannedGaps {
  const raw = heats.map((h, i) => {
    const before = heats[i - 1]
    if (!before || before.plannedStart === null || h.plannedStart === null) return null
    return (h.plannedStart - before.plannedStart) / 1000 - before.raceSeconds
  })
  const sane = raw.filter((g): g is number => g !== null && g >= 0)
  const usualSeconds = Math.max(15, prior.gapSeconds ?? median(sane) ?? FALLBACK_GAP_SECONDS)
  const threshold = usualSeconds + Math.max(BREAK_OVER_USUAL_SECONDS, BREAK_OVER_USUAL_SHARE * usualSeconds)

  const live: LiveHeat[] = []
  let carried: { gap: number; isBreak: boolean; min: number } | null = null
  heats.forEach((heat, i) => {
    const r = raw[i]
    const gap = r === null || r === undefined || r < 0 ? usualSeconds : r
    const isBreak = heat.breakBefore ?? gap > threshold
    const min = heat.minBreakSeconds ?? Math.max(usualSeconds, gap * prior.minBreakShare)
    const here = { gap, isBreak, min }
    const kept: typeof here = carried && carried.gap > gap ? carried : here
    if (heat.dropped) {
      carried = kept
      return
    }
    carried = null
    live.push({
      heat,
      plannedGapSeconds: live.length === 0 ? null : kept.gap,
      isBreak: live.length > 0 && kept.isBreak,
      minBreakSeconds: kept.min,
    })
  })
  return { live, usualSeconds }
}
