import {
  carUncertainty,
  isAbsent,
  projectRaceWithUncertainty,
  simulateLap,
  simulateRace,
  type ProjectedFigure,
} from '@/lib/setup-math'
import { normalSource } from '@/lib/setup-math/uncertainty/random'
import { benchCar, benchTrack, rearCar } from './setup-math-cars'

export const seasonFigures = [
  'lapS',
  'topSpeedMps',
  'meanRaceLapS',
  'raceLaps',
  'raceFinishS',
  'chargeUsedAh',
  'chargeLeftAh',
  'endVoltsPerCell',
  'minVoltsPerCell',
  'canC',
] as const satisfies readonly ProjectedFigure[]

const lapScatterS = 0.25
const quick = { tolerance: 1e-6, maxStepS: 0.5 }

/**
 * Seasons with a known truth: each time a true car, what the team states of it (off by its own uncertainty), the interval that the card would show, and
 * what then happened on the track. Counts how often each figure's 90 % interval held it. Race figures come from a whole simulated race, not from the
 * interval's own shortcut.
 */
export function coverSeasons(count: number, seed: number): Record<(typeof seasonFigures)[number], number> {
  const held = Object.fromEntries(seasonFigures.map((f) => [f, 0])) as Record<
    (typeof seasonFigures)[number],
    number
  >
  const normal = normalSource(seed)
  for (let season = 0; season < count; season++) {
    const truth = season % 2 ? rearCar : benchCar
    const { inputs, carWith } = carUncertainty(truth)
    const statedCar = carWith(
      inputs.map((i) => Math.min(i.max ?? Infinity, Math.max(i.min ?? -Infinity, i.value + i.sd * normal()))),
    )
    const shown = projectRaceWithUncertainty(statedCar, benchTrack, {
      raceSeconds: 300,
      lapScatterS,
      seed: 7,
    })
    const lap = simulateLap(truth, benchTrack, { trace: false, settings: quick })
    const race = simulateRace(truth, benchTrack, { raceSeconds: 300 }, quick)
    if (isAbsent(shown) || isAbsent(lap) || isAbsent(race)) throw new Error('a season’s car did not drive')
    const meanRaceLapS = race.finishSeconds / race.laps + (lapScatterS / Math.sqrt(race.laps)) * normal()
    const raceLaps = Math.ceil(300 / meanRaceLapS)
    const chargeUsedAh = (race.chargeUsedAh / race.laps) * raceLaps
    const happened: Record<(typeof seasonFigures)[number], number> = {
      lapS: lap.timeS + lapScatterS * normal(),
      topSpeedMps: lap.topSpeedMps,
      meanRaceLapS,
      raceLaps,
      raceFinishS: raceLaps * meanRaceLapS,
      chargeUsedAh,
      chargeLeftAh: race.chargeUsedAh + race.chargeLeftAh - chargeUsedAh,
      endVoltsPerCell: race.endVoltsPerCell,
      minVoltsPerCell: race.minVoltsPerCell,
      canC: isAbsent(race.canC) ? 0 : race.canC,
    }
    for (const f of seasonFigures) {
      const v = shown[f]
      if (v && v.low <= happened[f] && happened[f] <= v.high) held[f]++
    }
  }
  return held
}
