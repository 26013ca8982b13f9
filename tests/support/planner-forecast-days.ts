import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64'
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import { forecastRunningOrder } from '@/lib/planner/forecast/forecast-running-order'
import type { ForecastHeat } from '@/lib/planner/forecast/forecast-types'

/** How the gaps of a simulated day are spread. None of these is the law that the forecast assumes. */
export const gapShapes = ['lognormal', 'gamma', 'bimodal', 'steady'] as const
export type GapShape = (typeof gapShapes)[number]

export interface SimulatedDay {
  shape: GapShape
  /** The running order as it would read at any moment: use `at` to see only the stamps made by then. */
  heats: ForecastHeat[]
  trueStart: Map<string, number>
  at(now: number): ForecastHeat[]
  firstStart: number
  lastStart: number
}

const MINUTE = 60_000

export function seededRandom(seed: number): () => number {
  const rng = xoroshiro128plus(seed)
  return () => uniformFloat64(rng)
}

export const gaussian = (u: () => number): number =>
  Math.sqrt(-2 * Math.log(1 - u())) * Math.cos(2 * Math.PI * u())

function gapDraw(shape: GapShape, mean: number, u: () => number): number {
  if (shape === 'lognormal') {
    const s = 0.4
    return mean * Math.exp(s * gaussian(u) - (s * s) / 2)
  }
  // Gamma with shape 4: the sum of four exponentials.
  if (shape === 'gamma') return (mean / 4) * [0, 0, 0, 0].reduce((sum) => sum - Math.log(1 - u()), 0)
  if (shape === 'bimodal')
    return u() < 0.75 ? mean * (0.7 + 0.15 * gaussian(u)) : mean * (1.9 + 0.25 * gaussian(u))
  return mean * (1 + 0.1 * gaussian(u))
}

/**
 * One race day: rounds of heats with short breaks between rounds and a lunch, run with a turnaround that differs from
 * the plan, with heats run again, heats dropped, stamps missed and finishes stamped by hand.
 */
export function simulateDay(seed: number, shape: GapShape): SimulatedDay {
  const u = seededRandom(seed)
  const rounds = 3 + Math.floor(u() * 3)
  const perRound = 8 + Math.floor(u() * 8)
  const raceSeconds = u() < 0.7 ? 300 : 420
  const plannedGap = 90 + Math.floor(u() * 6) * 30
  const trueGap = plannedGap * (0.8 + 0.8 * u())
  const keptShare = 0.4 + 0.3 * u()
  const begin = Date.UTC(2031, 4, 17, 8, 0)
  const heats: ForecastHeat[] = []
  let t = begin
  const breakBefore = new Map<string, number>()
  for (let r = 0; r < rounds; r++) {
    if (r > 0) {
      const rest =
        (r === Math.floor(rounds / 2) ? 45 + Math.floor(u() * 30) : 12 + Math.floor(u() * 15)) * MINUTE
      t += rest
      breakBefore.set(`r${r}h0`, rest / 1000 + plannedGap)
    }
    for (let h = 0; h < perRound; h++) {
      heats.push({ id: `r${r}h${h}`, round: `Q${r + 1}`, plannedStart: t, raceSeconds })
      t += (raceSeconds + plannedGap) * 1000
    }
  }
  for (const heat of heats)
    if (u() < 0.01 && heat.id !== 'r0h0' && !breakBefore.has(heat.id)) heat.dropped = true

  const trueStart = new Map<string, number>()
  const stamps: { id: string; kind: 'startedAt' | 'finishedAt'; value: number; made: number }[] = []
  let end: number | null = null
  let firstStart = 0
  let lastStart = 0
  for (const heat of heats) {
    if (heat.dropped) continue
    const planned = heat.plannedStart ?? 0
    const rest = breakBefore.get(heat.id)
    const lateRestart = (u() < 0.85 ? -40 * Math.log(1 - u()) : -300 * Math.log(1 - u())) * 1000
    let start: number
    if (end === null) start = planned + lateRestart
    else if (rest !== undefined) start = Math.max(planned, end + rest * keptShare * 1000) + lateRestart
    else start = end + Math.max(20, gapDraw(shape, trueGap, u)) * 1000
    if (u() < 0.02) {
      // Stopped halfway and run again: first stamp is replaced by the second.
      stamps.push({ id: heat.id, kind: 'startedAt', value: start, made: start })
      start += (raceSeconds * (0.2 + 0.6 * u()) + Math.max(30, gapDraw(shape, trueGap, u))) * 1000
    }
    const finish = start + (raceSeconds + 10 + 30 * u()) * 1000
    trueStart.set(heat.id, start)
    if (u() > 0.04)
      stamps.push({ id: heat.id, kind: 'startedAt', value: start + 2000 * gaussian(u), made: start })
    if (u() > 0.25)
      stamps.push({ id: heat.id, kind: 'finishedAt', value: finish + 5000 * u(), made: finish + 5000 })
    end = start + raceSeconds * 1000
    firstStart ||= start
    lastStart = start
  }
  return {
    shape,
    heats,
    trueStart,
    firstStart,
    lastStart,
    at: (now) => {
      const seen = heats.map((h) => ({ ...h }))
      const byId = new Map(seen.map((h) => [h.id, h]))
      for (const s of stamps) {
        const heat = byId.get(s.id)
        if (heat && s.made <= now) heat[s.kind] = s.value
      }
      return seen
    },
  }
}

/** The everyday rule that the forecast must beat: every later heat is as late as the last stamped one. */
export function constantShift(heats: readonly ForecastHeat[]): (heat: ForecastHeat) => number {
  let shift = 0
  for (const h of heats)
    if (typeof h.startedAt === 'number') shift = h.startedAt - (h.plannedStart ?? h.startedAt)
  return (heat) => (heat.plannedStart ?? 0) + shift
}

export interface ForecastScore {
  heats: number
  covered: number
  /** Sums of absolute errors in seconds: of the forecast, and of the constant shift. */
  error: number
  shiftError: number
  /** Sum of the widths of the intervals, seconds. */
  width: number
}

/** Forecasts at `looks` random moments of each day, scored on every heat still to come. */
export function scoreForecast(shape: GapShape, seeds: readonly number[], looks: number): ForecastScore {
  const score = { heats: 0, covered: 0, error: 0, shiftError: 0, width: 0 }
  for (const seed of seeds) {
    const day = simulateDay(seed, shape)
    const u = seededRandom(seed + 1_000_000)
    for (let k = 0; k < looks; k++) {
      const now = day.firstStart + u() * (day.lastStart - day.firstStart)
      const heats = day.at(now)
      const shifted = constantShift(heats)
      const forecast = forecastRunningOrder({ heats, now })
      forecast.heats.forEach((f, i) => {
        const truth = day.trueStart.get(f.id)
        const heat = heats[i]
        if (truth === undefined || truth <= now || !heat || f.expectedStart === null) return
        score.heats++
        if (truth >= (f.lowStart ?? 0) && truth <= (f.highStart ?? 0)) score.covered++
        score.error += Math.abs(truth - f.expectedStart) / 1000
        score.shiftError += Math.abs(truth - shifted(heat)) / 1000
        score.width += ((f.highStart ?? 0) - (f.lowStart ?? 0)) / 1000
      })
    }
  }
  return score
}
