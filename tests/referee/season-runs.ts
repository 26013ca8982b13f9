import { draws } from './draws'
import { drawSeason, type RefereeSeason } from './draw-car'
import { cleanRace, type RefereeRace } from './run-race'

/** One season of one car on one track: five races, and the next with two teeth more on the pinion, beside a twin without them. */
export interface SeasonRuns {
  seed: number
  season: RefereeSeason
  runs: RefereeRace[]
  next: RefereeRace
  /** The next race as it had been without the change: same day, same moods. */
  twin: RefereeRace
  /** What the charge of the day was, per run; the last is the next's. */
  startSoc: number[]
}

export const knownRuns = 5
export const teethMore = 2

/** From day to day: grip by 3 %, air by 2 K, how full the pack is. One standard deviation each; common practice, no source. */
const gripDay = 0.03
const airDayK = 2

/** @returns null for a seed whose car does not get round without a spin, whoever drives */
export function seasonRuns(seed: number): SeasonRuns | null {
  const d = draws(seed)
  const season = drawSeason(d)
  const { chassis, electrics } = season.car
  const mu = [chassis.front.mu, chassis.rear.mu] as const
  const airC = electrics.airC
  const startSoc: number[] = []
  const race = (moodSeed: number, pinion: number): RefereeRace => {
    const day = draws(moodSeed)
    const grip = 1 + gripDay * day.gauss()
    chassis.front.mu = mu[0] * grip
    chassis.rear.mu = mu[1] * grip
    electrics.airC = airC + airDayK * day.gauss()
    electrics.startSoc = day.between(0.975, 1)
    startSoc.push(electrics.startSoc)
    chassis.finalDrive = (season.spur / pinion) * season.internalRatio
    return cleanRace(season.car, season.path, { raceSeconds: season.raceSeconds, gauss: day.gauss })
  }
  try {
    const seeds = Array.from({ length: knownRuns + 1 }, () => Math.floor(d.even() * 2 ** 31))
    const runs = seeds.slice(0, knownRuns).map((s) => race(s, season.pinion))
    const last = seeds[knownRuns] ?? 1
    const next = race(last, season.pinion + teethMore)
    const twin = race(last, season.pinion)
    chassis.front.mu = mu[0]
    chassis.rear.mu = mu[1]
    electrics.airC = airC
    chassis.finalDrive = (season.spur / season.pinion) * season.internalRatio
    return { seed, season, runs, next, twin, startSoc: startSoc.slice(0, knownRuns + 1) }
  } catch {
    return null
  }
}
