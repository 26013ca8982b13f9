import type { RefereeSeason } from './draw-car'
import { draws } from './draws'
import { runRace, type RefereeRace } from './run-race'

/** From day to day: grip by 3%, air by 2 K, how full the pack is. One standard deviation each; common practice, no source. */
const gripDay = 0.03
const airDayK = 2

/** Races of a season's car on days that are never quite the same. */
export function daysOf(season: RefereeSeason) {
  const { chassis, electrics } = season.car
  const mu = [chassis.front.mu, chassis.rear.mu] as const
  const airC = electrics.airC
  return {
    /** A race on the day and in the mood of this seed. */
    race(moodSeed: number, pinion: number): RefereeRace {
      const day = draws(moodSeed)
      const grip = 1 + gripDay * day.gauss()
      chassis.front.mu = mu[0] * grip
      chassis.rear.mu = mu[1] * grip
      electrics.airC = airC + airDayK * day.gauss()
      electrics.startSoc = day.between(0.975, 1)
      chassis.finalDrive = (season.spur / pinion) * season.internalRatio
      return runRace(season.car, season.path, { raceSeconds: season.raceSeconds, gauss: day.gauss })
    },
    /** What is entered of a season is its mean day. */
    restore(): void {
      chassis.front.mu = mu[0]
      chassis.rear.mu = mu[1]
      electrics.airC = airC
    },
  }
}
