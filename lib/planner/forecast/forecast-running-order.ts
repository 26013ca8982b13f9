import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import { sdPerMad } from '../../setup-math'
import type { ForecastHeat, ForecastPrior, HeatForecast, RunningOrderForecast } from './forecast-types'
import type { Atom } from './gap-sampler'
import { drawLaw, weightedQuantiles } from './gap-sampler'
import type { ObservedGaps } from './observed-gaps'
import { believable, finishOf, observedGaps } from './observed-gaps'
import type { LiveHeat } from './planned-gaps'
import { median, plannedGaps } from './planned-gaps'

/** The beliefs before the first stamp; common practice, no source, and soon outweighed by the day itself. */
export const defaultPrior = { worthGaps: 3, minBreakShare: 0.5, overrunSeconds: 25 } as const

const REPLICATES = 600
/** Logarithmic spread of one gap around the plan's, before anything is seen. */
const PRIOR_SPREAD = 0.45
const PRIOR_POINTS = 16
/** Rare events that the day may not have shown yet, as shares of all gaps. */
const RERUN_SHARE = 0.015
const STOPPAGE = { share: 0.006, seconds: 900 }
const SHORTEST_GAP_SECONDS = 10
const NEVER_STAMPED_MISS_RATE = 0.3

/** Middle values of equal slices of the standard normal law (Abramowitz & Stegun 26.2.23, |error| < 4.5e-4). */
const normalSlices = (n: number): number[] =>
  Array.from({ length: n }, (_, i) => {
    const p = (i + 0.5) / n
    const t = Math.sqrt(-2 * Math.log(Math.min(p, 1 - p)))
    const z =
      t -
      (2.515517 + 0.802853 * t + 0.010328 * t * t) /
        (1 + 1.432788 * t + 0.189269 * t * t + 0.001308 * t * t * t)
    return p < 0.5 ? -z : z
  })

function gapAtoms(usual: number, raceSeconds: number, worth: number, seen: readonly number[]): Atom[] {
  const shapes = normalSlices(PRIOR_POINTS).map((z) => Math.exp(PRIOR_SPREAD * z))
  const scale = usual / (shapes.reduce((s, v) => s + v, 0) / shapes.length)
  const ordinary = (worth * (1 - RERUN_SHARE - STOPPAGE.share)) / PRIOR_POINTS
  return [
    ...shapes.map((s) => ({ value: s * scale - usual, weight: ordinary })),
    { value: raceSeconds + usual, weight: worth * RERUN_SHARE },
    { value: STOPPAGE.seconds, weight: worth * STOPPAGE.share },
    ...seen.map((value) => ({ value, weight: 1 })),
  ]
}

/** Restarts after a break: mostly prompt, now and then waiting for officials (common practice, no source). */
function restartAtoms(seen: readonly number[]): Atom[] {
  const prompt = [5, 15, 30, 50, 80, 130].map((value) => ({ value, weight: 0.4 }))
  const slow = [240, 500, 900].map((value) => ({ value, weight: 0.12 }))
  return [...prompt, ...slow, ...seen.map((value) => ({ value: Math.min(value, 1200), weight: 1 }))]
}

const smoothingOf = (seen: readonly number[], fallback: number): number => {
  const mid = median(seen)
  if (mid === null) return fallback
  const scale = sdPerMad * (median(seen.map((v) => Math.abs(v - mid))) ?? 0)
  return Math.max(4, 0.4 * Math.min(scale || fallback, fallback * 3) * seen.length ** -0.2)
}

/**
 * Expected start and finish of every later heat, each start with a 90% interval.
 *
 * The gap between the end of one race clock and the next start is learned during the day, the plan's own gaps being
 * the prior. What remains unknown is simulated from the posterior with fixed random numbers, so equal inputs give
 * equal forecasts. Within a block of heats the order simply runs on, and may run ahead of its published times when
 * the gaps seen are shorter than planned. A break gives way to drift down to its minimum, and a heat after a break, like
 * the first heat of the day, never starts before its published time. A heat overdue without a stamp is weighed
 * between "not yet started" and "stamp missed", by how often stamps were missed today.
 *
 * Heats come in running order; corrected or undone stamps need nothing special: the forecast has no memory.
 *
 * @example
 * forecastRunningOrder({ heats: [{ id: 'h1', round: 'Q1', plannedStart: 0, raceSeconds: 300 }], now: 0 })
 */
export function forecastRunningOrder(input: {
  heats: readonly ForecastHeat[]
  now: number
  prior?: ForecastPrior
}): RunningOrderForecast {
  const prior = { ...defaultPrior, ...input.prior }
  const { now } = input
  const { live, usualSeconds } = plannedGaps(input.heats, prior)
  const seen = observedGaps(live, usualSeconds, now, prior.overrunSeconds)
  const coming = live.slice(seen.lastIndex + 1)
  const simulated = simulate(live, coming, seen, usualSeconds, prior.worthGaps, now)

  const rows = new Map<string, HeatForecast>()
  live.forEach((l, i) =>
    rows.set(
      l.heat.id,
      i <= seen.lastIndex
        ? pastHeat(live, i, seen, now)
        : comingHeat(l, simulated.starts[i - seen.lastIndex - 1], simulated.weights, seen),
    ),
  )
  const heats = input.heats.map(
    (h): HeatForecast =>
      rows.get(h.id) ?? {
        id: h.id,
        stage: 'dropped',
        expectedStart: null,
        lowStart: null,
        highStart: null,
        expectedFinish: null,
        breakBefore: false,
      },
  )
  const reference = coming.find((l) => l.heat.plannedStart !== null) ?? live[live.length - 1]
  const expected = reference ? rows.get(reference.heat.id)?.expectedStart : null
  const planned = reference?.heat.plannedStart
  const gapMeans = weightedQuantiles(simulated.gapMeans, simulated.weights, [0.05, 0.5, 0.95])
  return {
    heats,
    driftSeconds:
      typeof expected === 'number' && typeof planned === 'number' ? (expected - planned) / 1000 : 0,
    gap: {
      meanSeconds: Math.round(usualSeconds + (gapMeans[1] ?? 0)),
      halfWidthSeconds: Math.round(((gapMeans[2] ?? 0) - (gapMeans[0] ?? 0)) / 2),
      seen: seen.excess.length,
    },
    doubted: seen.doubted,
  }
}

interface Simulated {
  /** Per coming heat, its start in ms in every replicate. */
  starts: Float64Array[]
  weights: Float64Array
  gapMeans: Float64Array
}

function simulate(
  live: readonly LiveHeat[],
  coming: readonly LiveHeat[],
  seen: ObservedGaps,
  usual: number,
  worth: number,
  now: number,
): Simulated {
  const race = median(live.map((l) => l.heat.raceSeconds)) ?? 300
  const gaps = gapAtoms(usual, race, worth, seen.excess)
  const restarts = restartAtoms(seen.restartDelays)
  const gapSmoothing = smoothingOf(seen.excess, 0.25 * usual)
  const missRate =
    seen.stamped === 0 ? NEVER_STAMPED_MISS_RATE : (1 + seen.missed) / (20 + seen.lastIndex + 1)
  const starts = coming.map(() => new Float64Array(REPLICATES))
  const weights = new Float64Array(REPLICATES)
  const gapMeans = new Float64Array(REPLICATES)
  const anchor = live[seen.latestIndex]
  const finish = anchor ? finishOf(anchor, now) : null

  for (let r = 0; r < REPLICATES; r++) {
    const rng = xoroshiro128plus(r + 1)
    const gapLaw = drawLaw(rng, gaps, gapSmoothing)
    const restartLaw = drawLaw(rng, restarts, 6)
    // Where the previous race clock ran out; a stamped finish tells it better than the start does.
    let clockEnd: number | null = anchor
      ? finish !== null
        ? finish - seen.overrunSeconds * 1000
        : (anchor.heat.startedAt ?? now) + anchor.heat.raceSeconds * 1000
      : null
    const earliest = finish ?? clockEnd
    let weight = 1
    coming.forEach((l, k) => {
      const delay = restartLaw.sample(rng)
      const gap = Math.max(SHORTEST_GAP_SECONDS, (l.plannedGapSeconds ?? usual) + gapLaw.sample(rng))
      let start: number
      if (clockEnd === null) start = (l.heat.plannedStart ?? now) + Math.max(0, delay) * 1000
      else if (l.isBreak) {
        const afterBreak = clockEnd + (seen.overrunSeconds + l.minBreakSeconds) * 1000
        start = Math.max(l.heat.plannedStart ?? 0, afterBreak) + Math.max(0, delay) * 1000
      } else start = clockEnd + gap * 1000
      if (k === 0 && earliest !== null) start = Math.max(start, earliest + 5000)
      // In this replicate the heat has begun and nobody stamped it: as likely as stamps are missed.
      if (start <= now) weight *= missRate
      const column = starts[k]
      if (column) column[r] = start
      clockEnd = start + l.heat.raceSeconds * 1000
    })
    weights[r] = weight
    gapMeans[r] = gapLaw.mean
  }
  return { starts, weights, gapMeans }
}

function comingHeat(
  l: LiveHeat,
  starts: Float64Array | undefined,
  weights: Float64Array,
  seen: ObservedGaps,
): HeatForecast {
  const [low = 0, mid = 0, high = 0] = starts ? weightedQuantiles(starts, weights, [0.05, 0.5, 0.95]) : []
  return {
    id: l.heat.id,
    stage: 'coming',
    expectedStart: Math.round(mid),
    lowStart: Math.round(low),
    highStart: Math.round(high),
    expectedFinish: Math.round(mid + (l.heat.raceSeconds + seen.overrunSeconds) * 1000),
    breakBefore: l.isBreak,
  }
}

function pastHeat(live: readonly LiveHeat[], i: number, seen: ObservedGaps, now: number): HeatForecast {
  const l = live[i]
  if (!l) throw new RangeError(`No live heat at ${i}`)
  const { id, startedAt, raceSeconds } = l.heat
  const duration = (raceSeconds + seen.overrunSeconds) * 1000
  if (believable(startedAt, now)) {
    const finish = finishOf(l, now)
    const over = i < seen.lastIndex || i !== seen.latestIndex
    const expectedFinish = finish ?? (over ? startedAt + duration : Math.max(now, startedAt + duration))
    return {
      id,
      stage: finish !== null || over ? 'finished' : 'running',
      expectedStart: startedAt,
      lowStart: startedAt,
      highStart: startedAt,
      expectedFinish,
      breakBefore: l.isBreak,
    }
  }
  // A missed stamp: somewhere between its stamped neighbours, spread evenly.
  const stampAt = (from: number, step: number): { at: number; steps: number } | null => {
    for (let k = from + step, steps = 1; k >= 0 && k < live.length; k += step, steps++) {
      const s = live[k]?.heat.startedAt
      if (believable(s, now)) return { at: s, steps }
    }
    return null
  }
  const before = stampAt(i, -1)
  const after = stampAt(i, 1)
  const afterAt = after ? after.at : now
  const slot = duration + 60_000
  const beforeAt = before && before.at < afterAt ? before.at : afterAt - ((after?.steps ?? 1) + 1) * slot
  const beforeSteps = before && before.at < afterAt ? before.steps : 1
  const share = beforeSteps / (beforeSteps + (after?.steps ?? 1))
  const at = Math.round(beforeAt + share * (afterAt - beforeAt))
  const low = Math.min(at, beforeAt + beforeSteps * duration)
  return {
    id,
    stage: 'assumed',
    expectedStart: at,
    lowStart: Math.round(low),
    highStart: Math.round(Math.max(at, afterAt - (after?.steps ?? 1) * duration)),
    expectedFinish: at + duration,
    breakBefore: l.isBreak,
  }
}
