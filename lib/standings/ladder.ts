import type { DriverResult } from './score-round'

/** An own result in the rounds that are left. */
export type OwnResult =
  | { kind: 'no-start' }
  /** `isAnyTime`: the laps alone are enough, in any time that fits the race. */
  | { kind: 'result'; laps: number; seconds: number; isAnyTime: boolean }
  | { kind: 'place'; place: number }

/** Own results from the weakest up: rung 0 is no start. */
export interface Ladder {
  /** The top rung. */
  top: number
  at: (rung: number) => OwnResult
}

/** Which results are told apart. */
export interface ResultSteps {
  /** s */
  stepS: number
  /** How long after the clock has run out the last lap may end, s. */
  lastLapS: number
  mostLaps: number
}
/** As lists print them, with our choice of a slow last lap, and the most laps that the board takes. */
const USUAL: ResultSteps = { stepS: 0.01, lastLapS: 60, mostLaps: 500 }

/** Laps and times: a race of `raceSeconds` ends within a lap after it. */
export function resultLadder(raceSeconds: number, steps: Partial<ResultSteps> = {}): Ladder {
  const { stepS, lastLapS, mostLaps } = { ...USUAL, ...steps }
  const times = Math.round(lastLapS / stepS) + 1
  return {
    top: mostLaps * times,
    at: (rung) => {
      if (rung === 0) return { kind: 'no-start' }
      const within = (rung - 1) % times
      return {
        kind: 'result',
        laps: Math.floor((rung - 1) / times) + 1,
        seconds: Number((raceSeconds + lastLapS - within * stepS).toFixed(3)),
        isAnyTime: within === 0,
      }
    },
  }
}

/** Places, the last one first. */
export const placeLadder = (drivers: number): Ladder => ({
  top: drivers,
  at: (rung) => (rung === 0 ? { kind: 'no-start' } : { kind: 'place', place: drivers + 1 - rung }),
})

/** The weakest rung that is enough, given that a better one never does worse; null when none is. */
export function weakestRung(ladder: Ladder, isEnough: (rung: number) => boolean): number | null {
  if (!isEnough(ladder.top)) return null
  let [low, high] = [0, ladder.top]
  while (low < high) {
    const middle = Math.floor((low + high) / 2)
    if (isEnough(middle)) high = middle
    else low = middle + 1
  }
  return high
}

/** Puts an own result among what the others did in a round; undefined: no start. */
export function joinRound(
  others: ReadonlyMap<string, DriverResult>,
  driver: string,
  own: OwnResult,
): Map<string, DriverResult> {
  const round = new Map(others)
  round.delete(driver)
  if (own.kind === 'result') round.set(driver, { laps: own.laps, seconds: own.seconds })
  if (own.kind === 'place') {
    for (const [other, r] of round)
      if (r.place !== undefined && r.place >= own.place) round.set(other, { ...r, place: r.place + 1 })
    round.set(driver, { laps: 0, seconds: 0, place: own.place })
  }
  return round
}
