import { checkNumber } from '../check-number'
import { sdPerMad } from '../constants'
import { absent, isAbsent, type Maybe } from '../maybe'
import { lapStatistics } from './lap-statistics'

export interface RaceProjection {
  laps: number
  finishSeconds: number
  /** Share of likely paces that give one lap fewer and one more, 0..1. */
  chanceOneFewer: number
  chanceOneMore: number
  lapForOneMoreS: number
}

/**
 * Where a heat under way is going: time so far plus the median lap, the first lap from the start line left out of it when there are more. The
 * spread of the mean of the laps to come is 1.4826 MAD sqrt(n): normal-consistent (NIST e-Handbook), robust against one crash.
 * @param startDelayS seconds by which a staggered start held this car; its own clock starts then
 * @returns absence before the first lap is done
 * @throws RangeProblem
 */
export function projectRace(
  lapSeconds: readonly number[],
  raceSeconds: number,
  startDelayS = 0,
): Maybe<RaceProjection> {
  if (lapSeconds.length === 0) return absent('no lap is done yet')
  // With a staggered start every car runs its own full time: the delay shifts the clock, not the result.
  checkNumber('startDelayS', startDelayS, { min: 0, max: 600, unit: 's' })
  const race = checkNumber('raceSeconds', raceSeconds, { min: 1, max: 1e6, unit: 's' })
  const all = lapStatistics(lapSeconds)
  const flying = lapSeconds.length > 1 ? lapStatistics(lapSeconds.slice(1)) : all
  if (all.sumS >= race) {
    return {
      laps: all.laps,
      finishSeconds: all.sumS,
      chanceOneFewer: 0,
      chanceOneMore: 0,
      lapForOneMoreS: flying.medianS,
    }
  }
  const left = race - all.sumS
  const toGo = Math.ceil((left / flying.medianS) * (1 - 1e-12))
  const laps = all.laps + toGo
  const spread = isAbsent(flying.sdS) ? 0.03 * flying.medianS : sdPerMad * flying.madS
  // One more lap is driven when the first `toGo` laps end before time; one fewer when all but the last already pass it.
  const chance = (n: number) =>
    n === 0 ? 0 : normal((left - n * flying.medianS) / Math.max(1e-9, spread * Math.sqrt(n)))
  return {
    laps,
    finishSeconds: all.sumS + toGo * flying.medianS,
    chanceOneMore: chance(toGo),
    chanceOneFewer: toGo > 1 ? 1 - chance(toGo - 1) : 0,
    lapForOneMoreS: left / toGo,
  }
}

/** Standard normal distribution function: Abramowitz & Stegun 26.2.17, |error| < 7.5e-8. */
export function normal(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z))
  const poly =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
  const tail = (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) * poly
  return z > 0 ? 1 - tail : tail
}
