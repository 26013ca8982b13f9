import assert from 'node:assert/strict'
import fc from './fast-check'
import { neededFor, type NeededResults, type OwnResult, type Series } from '@/lib/standings'
import { smallSeries } from './random-series'
import {
  anythingByHand,
  casesByHand,
  holdByHand,
  placeAfterByHand,
  placesByHand,
  rungsByHand,
  type HandCase,
} from './standings-by-hand'

export const STEPS = { stepS: 1, lastLapS: 4, mostLaps: 11 }
export const RACE_S = 300

/** Goes through every case and every own result, one after the other. */
function neededByHand(series: Series, driver: string, place: number, by: 'result' | 'place') {
  const rungs = rungsByHand(by, {
    raceSeconds: RACE_S,
    lastLapS: STEPS.lastLapS,
    mostLaps: STEPS.mostLaps,
    drivers: series.drivers.length,
  })
  const open = series.rounds.filter((r) => !r.isComplete)
  const own = open.filter((r) => by === 'place' || !r.results.has(driver)).map((r) => r.id)
  const cases = casesByHand(series, driver, by)
  const weakest = (c: HandCase, rounds: string[]): number => {
    const fits = rungs.map((own) => placeAfterByHand(series, driver, by, c, rounds, own) <= place)
    const first = fits.indexOf(true)
    // What is enough stays enough when it is better: what the library's search rests on.
    if (first >= 0) assert(fits.slice(first).every(Boolean), 'a better result is not enough')
    return first < 0 ? Infinity : first
  }
  const kept = cases.filter((c) => weakest(c, []) === 0).length / cases.length
  const inTurn = (rounds: string[]) => {
    const found = cases.map((c) => weakest(c, rounds)).sort((a, b) => a - b)
    const enough = (share: number): OwnResult | null => {
      for (let r = 0; r < rungs.length; r++)
        if (found.filter((f) => f <= r).length >= share * cases.length - 1e-9) return rungs[r]!
      return null
    }
    return { found, half: enough(0.5), mostly: enough(0.9), always: enough(1) }
  }
  return { cases: cases.length, own, kept, inTurn, rungs, weakest }
}

/** Compares the library's answer with the one by hand. @returns its state @throws where they differ */
export function compareNeeded(series: Series, driver: string, place: number, by: 'result' | 'place'): string {
  const hand = neededByHand(series, driver, place, by)
  const got = neededFor({
    series,
    driver,
    place,
    by,
    raceSeconds: RACE_S,
    steps: STEPS,
    cases: 1e9,
  })
  assert.equal(got.isReachedNow, placesByHand(series)[driver]! <= place)
  const others = series.drivers.filter((d) => d !== driver)
  const known = others.filter((d) => series.rounds.some((r) => (r.results.get(d)?.laps ?? 0) > 0)).length
  const isEarly = by === 'result' && (known === 0 || known < others.length / 2)
  if (isEarly) {
    assert.equal(got.state, 'early')
    return got.state
  }
  assert.deepEqual(got.method, { kind: 'exact', cases: hand.cases })
  if (hand.own.length === 0) {
    assert.equal(got.state, 'waiting')
    assert.deepEqual(got.asItIs, { share: hand.kept, plusMinus: 0 })
    return got.state
  }
  const each = hand.inTurn(hand.own)
  const state = each.found.at(-1) === 0 ? 'sure' : each.found[0] === Infinity ? 'out' : 'open'
  assert.equal(got.state, state)
  assert.deepEqual(got.rounds, hand.own)
  assert.deepEqual(got.asItIs, { share: hand.kept, plusMinus: 0 })
  // Who races for places in a leg may finish in any order, and all of these were gone through: but in each of them everybody starts.
  if (by === 'place') assert.equal(got.isWhatever || got.isIfAllStart, state !== 'open')
  if (got.isWhatever)
    for (const c of anythingByHand(series, driver)) {
      const isSure = placeAfterByHand(series, driver, by, c, [], hand.rungs[0]!) <= place
      const canBe = placeAfterByHand(series, driver, by, c, hand.own, hand.rungs.at(-1)!) <= place
      assert(state === 'sure' ? isSure : !canBe, `${state} does not hold whatever the others do`)
    }
  if (state !== 'open') return got.isWhatever ? `${state} whatever` : state
  sameResults(got.each, each)
  if (hand.own.length > 1) {
    sameResults(got.next, hand.inTurn(hand.own.slice(0, 1)))
  } else assert.equal(got.next, null)
  if (by === 'result') {
    const held = hand.weakest(holdByHand(series, driver), hand.own)
    assert.deepEqual(got.each!.ifOthersHold, hand.rungs[held] ?? null)
    if (held < Infinity)
      assert.equal(got.each!.holdShare!.share, each.found.filter((f) => f <= held).length / hand.cases)
  }
  return state
}

type Enough = Pick<NeededResults, 'half' | 'mostly' | 'always'>
const sameResults = (got: NeededResults | null, { half, mostly, always }: Enough) =>
  assert.deepEqual(got && { half: got.half, mostly: got.mostly, always: got.always }, {
    half,
    mostly,
    always,
  })

/** Small meetings with one round left and one that may be half run, and small finals with one or two legs left. */
const DRAWN = {
  result: smallSeries({ drivers: [2, 4], run: [1, 3], half: [0, 1, 1], toCome: [1, 1] }),
  place: smallSeries({ drivers: [2, 4], run: [0, 3], half: [0, 0, 1], toCome: [1, 2] }),
}
/** Beyond, going through all by hand takes too long. */
const MOST_CASES = 100

/** Compares so many random meetings. @returns how often each state was the answer @throws with the first that differs, made small */
export function compareMeetings(
  by: 'result' | 'place',
  meetings: number,
  seed: number,
): Record<string, number> {
  const seen: Record<string, number> = {}
  fc.assert(
    fc.property(DRAWN[by], fc.nat(3), fc.nat(3), (series, who, at) => {
      const driver = series.drivers[who % series.drivers.length]!
      fc.pre(casesByHand(series, driver, by).length <= MOST_CASES)
      const state = compareNeeded(series, driver, (at % series.drivers.length) + 1, by)
      seen[state] = (seen[state] ?? 0) + 1
    }),
    { numRuns: meetings, seed },
  )
  return seen
}
