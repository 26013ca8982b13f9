import { drawOrder, type DrawnOrder } from './draw-order'
import type { ForecastHeat, ForecastPrior, HeatForecast, RunningOrderForecast } from './forecast-types'
import { weightedQuantiles, weightsFrom, type DrawnValues, type Weights } from './gap-sampler'
import type { ObservedGaps } from './observed-gaps'
import { believable, finishOf } from './observed-gaps'
import { comingHeats, orderQuestion, type OrderQuestion } from './order-question'
import type { LiveHeat } from './planned-gaps'

const NEVER_STAMPED_MISS_RATE = 0.3

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
  const question = orderQuestion(input)
  return forecastFrom(question, drawOrder(question), input)
}

/** `forecastRunningOrder` for whoever kept the question and what was drawn for it: then it costs little, however often the clock turns. */
export function forecastFrom(
  question: OrderQuestion,
  drawn: DrawnOrder,
  { heats: asked, now }: { heats: readonly ForecastHeat[]; now: number },
): RunningOrderForecast {
  const { live, seen, usualSeconds } = question
  const coming = comingHeats(question)
  const weights = weightsOf(drawn, seen, now)
  const rows = new Map<string, HeatForecast>()
  live.forEach((l, i) =>
    rows.set(
      l.heat.id,
      i <= seen.lastIndex
        ? pastHeat(live, i, seen, now)
        : comingHeat(l, drawn.starts[i - seen.lastIndex - 1], weights, seen),
    ),
  )
  const heats = asked.map(
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
  const gapMeans = weightedQuantiles(drawn.gapMeans, weights, [0.05, 0.5, 0.95])
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

/** How likely each replicate is by now: where a heat has begun in it, nobody stamped it, which happens as often as stamps are missed. */
function weightsOf({ gapMeans, earlier, ...drawn }: DrawnOrder, seenNow: ObservedGaps, now: number): Weights {
  const { starts, seen } = earlier ?? { starts: drawn.starts, seen: seenNow }
  const missRate =
    seen.stamped === 0 ? NEVER_STAMPED_MISS_RATE : (1 + seen.missed) / (20 + seen.lastIndex + 1)
  const weights = new Float64Array(gapMeans.values.length).fill(1)
  // In every replicate heats begin one after the other: past the first one that has begun in none there are no more.
  for (const { values, order } of starts) {
    if ((values[order[0] ?? 0] ?? Infinity) > now) break
    for (const r of order) {
      if ((values[r] ?? Infinity) > now) break
      weights[r] = (weights[r] ?? 1) * missRate
    }
  }
  return weightsFrom(weights)
}

function comingHeat(
  l: LiveHeat,
  starts: DrawnValues | undefined,
  weights: Weights,
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
