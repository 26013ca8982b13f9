import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import { sdPerMad } from '../../setup-math'
import { drawLaw, inOrder, type Atom, type DrawnValues } from './gap-sampler'
import { comingHeats, type OrderQuestion } from './order-question'
import type { ObservedGaps } from './observed-gaps'
import { median } from './planned-gaps'

const REPLICATES = 600
/** Logarithmic spread of one gap around the plan's, before anything is seen. */
const PRIOR_SPREAD = 0.45
const PRIOR_POINTS = 16
/** Rare events that the day may not have shown yet, as shares of all gaps. */
const RERUN_SHARE = 0.015
const STOPPAGE = { share: 0.006, seconds: 900 }
const SHORTEST_GAP_SECONDS = 10

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

export interface DrawnOrder {
  /** Per coming heat, its start in ms since the epoch. */
  starts: readonly DrawnValues[]
  /** By how many seconds the ordinary gap is longer than planned. */
  gapMeans: DrawnValues
  /** Where they are those of an earlier question (`earlierDraws`): what was seen and drawn then, by which each way is as likely as it was. */
  earlier?: { starts: readonly DrawnValues[]; seen: ObservedGaps }
}

/** Ways in which the rest of the day may go, drawn from the posterior with fixed random numbers: equal questions give equal draws. Costs most of a forecast. */
export function drawOrder(question: OrderQuestion): DrawnOrder {
  const { live, seen, usualSeconds: usual, worthGaps, finish, dayStart } = question
  const coming = comingHeats(question)
  const race = median(live.map((l) => l.heat.raceSeconds)) ?? 300
  const gaps = gapAtoms(usual, race, worthGaps, seen.excess)
  const restarts = restartAtoms(seen.restartDelays)
  const gapSmoothing = smoothingOf(seen.excess, 0.25 * usual)
  // One piece of memory for all heats: each piece costs the collector of garbage something, and the way to another thread.
  const drawn = new Float64Array(coming.length * REPLICATES)
  const orders = new Uint16Array(coming.length * REPLICATES)
  const starts = coming.map((_, k) => drawn.subarray(k * REPLICATES, (k + 1) * REPLICATES))
  const gapMeans = new Float64Array(REPLICATES)
  const startedAt = live[seen.latestIndex]?.heat.startedAt ?? null
  const latestRaceMs = (live[seen.latestIndex]?.heat.raceSeconds ?? 0) * 1000

  for (let r = 0; r < REPLICATES; r++) {
    const rng = xoroshiro128plus(r + 1)
    const gapLaw = drawLaw(rng, gaps, gapSmoothing)
    const restartLaw = drawLaw(rng, restarts, 6)
    // Where the previous race clock ran out; a stamped finish tells it better than the start does.
    let clockEnd: number | null =
      finish !== null
        ? finish - seen.overrunSeconds * 1000
        : startedAt !== null
          ? startedAt + latestRaceMs
          : null
    const earliest = finish ?? clockEnd
    coming.forEach((l, k) => {
      let start: number
      // Every heat takes as many random numbers, so that those of the next ones don't hang on what it is.
      if (clockEnd === null || l.isBreak) {
        const soonest =
          clockEnd === null
            ? (dayStart ?? 0)
            : Math.max(l.heat.plannedStart ?? 0, clockEnd + (seen.overrunSeconds + l.minBreakSeconds) * 1000)
        start = soonest + Math.max(0, restartLaw.sample(rng)) * 1000
        gapLaw.passOver(rng)
      } else {
        restartLaw.passOver(rng)
        const gap = (l.plannedGapSeconds ?? usual) + gapLaw.sample(rng)
        start = clockEnd + Math.max(SHORTEST_GAP_SECONDS, gap) * 1000
      }
      if (k === 0 && earliest !== null) start = Math.max(start, earliest + 5000)
      const column = starts[k]
      if (column) column[r] = start
      clockEnd = start + l.heat.raceSeconds * 1000
    })
    gapMeans[r] = gapLaw.mean
  }
  return {
    starts: starts.map((values, k) => inOrder(values, orders.subarray(k * REPLICATES, (k + 1) * REPLICATES))),
    gapMeans: inOrder(gapMeans),
  }
}
