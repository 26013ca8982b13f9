import { asEntered, type KeptSeason } from './as-entered'
import { daysOf } from './day-of-season'
import { drawSeason } from './draw-car'
import { draws } from './draws'
import { withoutSpin, type RefereeRace } from './run-race'

export type Fault = 'none' | 'too-short' | 'too-long'

/**
 * A car that is geared as its draw has it, or some teeth too short or too long, after three races; and what two more races bring with any pinion. Days and moods
 * of a race are the same whatever the pinion.
 */
export interface SuggestionSeason {
  seed: number
  fault: Fault
  pinion: number
  kept: KeptSeason
  /** Mean lap and can of two races that come next, with each of these pinions; null where one does not get round. */
  next: (pinions: readonly number[]) => Outcome[] | null
}
export interface Outcome {
  meanLapS: number
  canC: number
}

const knownRaces = 3

export function suggestionSeason(seed: number, fault: Fault): SuggestionSeason | null {
  const d = draws(seed)
  const season = drawSeason(d)
  const { electrics, driver } = season.car
  const { race, restore } = daysOf(season)
  const by = Math.round(d.between(5, 9))
  const pinion = Math.max(10, season.pinion + (fault === 'too-short' ? -by : fault === 'too-long' ? by : 0))
  const moods = Array.from({ length: knownRaces + 2 }, () => Math.floor(d.even() * 2 ** 31))
  const startSoc: number[] = []
  let runs: RefereeRace[]
  try {
    runs = moods.slice(0, knownRaces).map((m) => {
      const run = withoutSpin(driver, () => race(m, pinion))
      startSoc.push(electrics.startSoc)
      return run
    })
  } catch {
    return null
  }
  restore()
  const [first] = runs
  if (!first) return null
  const kept = {
    seed,
    season: { ...season, pinion },
    runs,
    next: first,
    twin: first,
    tried: first,
    trial: { pinion, kvRpmPerVolt: electrics.kvRpmPerVolt, windingOhm: electrics.windingOhm },
    startSoc: [...startSoc, 0.9875],
  } as unknown as KeptSeason
  const next = (pinions: readonly number[]): Outcome[] | null => {
    try {
      // One driver drives them all: a spin with one makes all of them calmer.
      return withoutSpin(driver, () =>
        pinions.map((teeth) => {
          const driven = moods.slice(knownRaces).map((m) => race(m, teeth))
          const mean = (of: (r: RefereeRace) => number) =>
            driven.reduce((s, r) => s + of(r), 0) / driven.length
          return { meanLapS: mean((r) => r.meanLapS), canC: mean((r) => r.canC) }
        }),
      )
    } catch {
      return null
    } finally {
      restore()
    }
  }
  return { seed, fault, pinion, kept, next }
}

export const cardOfSeason = (s: SuggestionSeason) => asEntered(s.kept, s.pinion, 0.9875)
