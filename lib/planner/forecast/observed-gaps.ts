import { sdPerMad } from '../../setup-math'
import type { LiveHeat } from './planned-gaps'
import { median } from './planned-gaps'

/** What the stamps so far have shown. */
export interface ObservedGaps {
  /** Seconds by which each seen ordinary gap was longer than its planned one, outliers pulled in. */
  excess: number[]
  /** Seconds by which restarts after a break came after the earliest sensible time. */
  restartDelays: number[]
  /** Typical time from the end of the race clock to the finish stamp. */
  overrunSeconds: number
  /** Index into the live heats of the last one in the order that has a start; -1 when none has. */
  lastIndex: number
  /** Index of the heat that started last by the clock (differs from `lastIndex` after an out-of-order re-run). */
  latestIndex: number
  /** Heats before `lastIndex` without a start stamp. */
  missed: number
  stamped: number
  doubted: string[]
}

/** A stamp from a clock that runs this far ahead is not believed. */
const FUTURE_TOLERANCE_MS = 60_000
/** Finish stamps are taken by hand: overruns outside this are slips of the finger, not laps. */
const OVERRUN_RANGE_SECONDS = [-600, 300] as const
/** The prior overrun weighs as much as this many finish stamps. */
const OVERRUN_WORTH = 3
const MAX_BRIDGED_GAPS = 4

export const believable = (at: number | null | undefined, now: number): at is number =>
  typeof at === 'number' && Number.isFinite(at) && at <= now + FUTURE_TOLERANCE_MS

/** The finish of a heat if it is stamped and can be true. */
export function finishOf(l: LiveHeat, now: number): number | null {
  const { startedAt, finishedAt, raceSeconds } = l.heat
  if (!believable(startedAt, now) || !believable(finishedAt, now) || finishedAt <= startedAt) return null
  const over = (finishedAt - startedAt) / 1000 - raceSeconds
  return over < OVERRUN_RANGE_SECONDS[0] || over > OVERRUN_RANGE_SECONDS[1] ? null : finishedAt
}

/**
 * Learns from the stamps. A missed stamp bridges its two gaps into one mean; a heat stamped out of the list's order
 * (run again at the end of a round) moves the clock but teaches nothing about the gap.
 */
export function observedGaps(
  live: readonly LiveHeat[],
  usualSeconds: number,
  now: number,
  priorOverrun: number,
): ObservedGaps {
  const doubted: string[] = []
  const overruns: number[] = []
  const stamped: { index: number; at: number }[] = []
  live.forEach((l, index) => {
    const { startedAt, finishedAt } = l.heat
    if (startedAt === null || startedAt === undefined) return
    if (!believable(startedAt, now)) {
      doubted.push(l.heat.id)
      return
    }
    stamped.push({ index, at: startedAt })
    const finish = finishOf(l, now)
    if (finish !== null) overruns.push((finish - startedAt) / 1000 - l.heat.raceSeconds)
    else if (finishedAt !== null && finishedAt !== undefined) doubted.push(l.heat.id)
  })
  // A heat that was stopped early says nothing of how long the last lap takes.
  const ran = overruns.filter((o) => o >= 0)
  const overrunSeconds =
    (OVERRUN_WORTH * priorOverrun + ran.length * (median(ran) ?? 0)) / (OVERRUN_WORTH + ran.length)

  const excess: number[] = []
  const restartDelays: number[] = []
  for (let k = 1; k < stamped.length; k++) {
    const a = stamped[k - 1]
    const b = stamped[k]
    if (!a || !b) continue
    const steps = live.slice(a.index + 1, b.index + 1)
    const races = live.slice(a.index, b.index).reduce((s, l) => s + l.heat.raceSeconds, 0)
    const elapsed = (b.at - a.at) / 1000
    if (elapsed < 0.6 * races) {
      const suspect = live[b.index]
      if (suspect) doubted.push(suspect.heat.id)
      continue
    }
    const only = steps.length === 1 ? steps[0] : undefined
    if (only?.isBreak) {
      const before = live[a.index]
      const end = (before && finishOf(before, now)) ?? a.at + (races + overrunSeconds) * 1000
      const earliest = Math.max(only.heat.plannedStart ?? 0, end + only.minBreakSeconds * 1000)
      restartDelays.push((b.at - earliest) / 1000)
    } else if (steps.length <= MAX_BRIDGED_GAPS && !steps.some((s) => s.isBreak)) {
      const planned = steps.reduce((s, l) => s + (l.plannedGapSeconds ?? usualSeconds), 0)
      excess.push((elapsed - races - planned) / steps.length)
    }
  }
  const first = live[0]
  if (first && stamped[0]?.index === 0 && first.heat.plannedStart !== null)
    restartDelays.push((stamped[0].at - first.heat.plannedStart) / 1000)

  const lastIndex = stamped.length ? (stamped[stamped.length - 1]?.index ?? -1) : -1
  let latestIndex = -1
  let latestAt = -Infinity
  for (const s of stamped) if (s.at >= latestAt) [latestIndex, latestAt] = [s.index, s.at]
  const raceTypical = median(live.map((l) => l.heat.raceSeconds)) ?? 0
  return {
    excess: pullIn(excess, raceTypical + usualSeconds),
    restartDelays,
    overrunSeconds,
    lastIndex,
    latestIndex,
    missed: lastIndex + 1 - stamped.length,
    stamped: stamped.length,
    doubted: [...new Set(doubted)],
  }
}

/**
 * Outliers count, but no more than a heat run again would (its race clock and one gap): a storm that stopped the
 * meeting for half an hour must not make every later gap half a minute longer.
 */
function pullIn(values: readonly number[], rerunSeconds: number): number[] {
  const mid = median(values)
  if (mid === null) return []
  const scale = sdPerMad * (median(values.map((v) => Math.abs(v - mid))) ?? 0)
  const reach = Math.max(8 * scale, rerunSeconds)
  return values.map((v) => Math.min(mid + reach, Math.max(mid - reach, v)))
}
