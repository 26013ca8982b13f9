import {
  carUncertainty,
  isAbsent,
  likelyResults,
  projectRaceWithUncertainty,
  simulateLap,
  simulateRace,
  type Car,
  type LapRun,
  type LikelyResult,
  type ProjectedFigure,
  type RaceRun,
  type Track,
} from '@/lib/setup-math'
import { drawsFrom } from './seeded-draws'
import { benchCar, benchTrack, rearCar } from './setup-math-cars'

const plainFigures = [
  'lapS',
  'topSpeedMps',
  'meanRaceLapS',
  'raceDistanceLaps',
  'chargeUsedAh',
  'chargeLeftAh',
  'endVoltsPerCell',
  'minVoltsPerCell',
  'canC',
] as const satisfies readonly ProjectedFigure[]

/**
 * What the coverage tests ask for. Of a whole lap count, which no interval can hold exactly nine times in ten, it is the randomised probability
 * integral transform that must lie within 5 to 95% nine times in ten; of the finish, its interval given the count.
 * Source: Czado, Gneiting, Held, Biometrics 65 (2009) 1254-1261.
 */
export const seasonFigures = [...plainFigures, 'raceLaps by PIT', 'raceFinishS given raceLaps'] as const
export type SeasonFigure = (typeof seasonFigures)[number]

const lapScatterS = 0.25
const quick = { tolerance: 1e-6, maxStepS: 0.5 }

/**
 * Seasons with a known truth: each time a car, a track and a race of their own, what the team states of the car (off by its own uncertainty), the interval
 * that follows, and what then happened on the track. Counts how often each figure's 90% interval held it. Race figures come from a whole simulated race,
 * not from the interval's own shortcut. Cars and tracks differ from season to season because a whole count, unlike a smooth figure, is covered nine times
 * in ten only on average: a truth of 13.5 laps is nearly always told right, one of 13.02 as often as not.
 */
export function coverSeasons(count: number, seed: number): Record<SeasonFigure, number> {
  const held = Object.fromEntries(seasonFigures.map((f) => [f, 0])) as Record<SeasonFigure, number>
  const { gauss, between } = drawsFrom(seed)
  for (let season = 0; season < count; season++) {
    const { car: truth, track } = anyCar(season, between)
    const raceSeconds = season % 3 ? 300 : 360
    const { inputs, carWith } = carUncertainty(truth)
    const statedCar = carWith(
      inputs.map((i) => Math.min(i.max ?? Infinity, Math.max(i.min ?? -Infinity, i.value + i.sd * gauss()))),
    )
    const shown = projectRaceWithUncertainty(statedCar, track, { raceSeconds, lapScatterS, seed: 7 })
    const lap = simulateLap(truth, track, { trace: false, settings: quick })
    const race = simulateRace(truth, track, { raceSeconds }, quick)
    if (isAbsent(shown) || isAbsent(lap) || isAbsent(race)) throw new Error('a season’s car did not drive')
    const happened = outcome(race, raceSeconds, lap, gauss)
    for (const f of plainFigures) {
      const v = shown[f]
      if (v && v.low <= happened[f] && happened[f] <= v.high) held[f]++
    }
    const results = shown.meanRaceLapS ? likelyResults(shown.meanRaceLapS.draws, raceSeconds) : []
    const transform = randomisedPit(results, happened.raceLaps, between(0, 1))
    if (transform >= 0.05 && transform <= 0.95) held['raceLaps by PIT']++
    const told = results.find((r) => r.laps === happened.raceLaps)
    if (told && told.finishLowS <= happened.raceFinishS && happened.raceFinishS <= told.finishHighS)
      held['raceFinishS given raceLaps']++
  }
  return held
}

/** A four- or rear-driven car, geared and powered by chance, on a track of its own size. */
function anyCar(season: number, between: (low: number, high: number) => number): { car: Car; track: Track } {
  const like = season % 2 ? rearCar : benchCar
  const power = between(0.8, 1.3)
  const size = between(0.7, 1.5)
  return {
    car: {
      ...like,
      grip: between(0.75, 1.2),
      pinion: Math.round(between(22, 32)),
      motor: {
        ...like.motor,
        // Kv rises as the turns fall, resistance with their square.
        kvRpmPerVolt: like.motor.kvRpmPerVolt * power,
        resistanceOhm: like.motor.resistanceOhm / power ** 2,
      },
      pack: { ...like.pack, capacityAh: between(5, 7) },
    },
    track: {
      segments: benchTrack.segments.map((s) =>
        s.kind === 'straight'
          ? { ...s, lengthM: s.lengthM * size }
          : { ...s, radiusM: s.radiusM * Math.sqrt(size) },
      ),
    },
  }
}

function outcome(race: RaceRun, raceSeconds: number, lap: LapRun, gauss: () => number) {
  const meanRaceLapS = race.finishSeconds / race.laps + (lapScatterS / Math.sqrt(race.laps)) * gauss()
  const raceLaps = Math.ceil(raceSeconds / meanRaceLapS)
  const chargeUsedAh = (race.chargeUsedAh / race.laps) * raceLaps
  return {
    lapS: lap.timeS + lapScatterS * gauss(),
    topSpeedMps: lap.topSpeedMps,
    meanRaceLapS,
    raceDistanceLaps: raceSeconds / meanRaceLapS,
    raceLaps,
    raceFinishS: raceLaps * meanRaceLapS,
    chargeUsedAh,
    chargeLeftAh: race.chargeUsedAh + race.chargeLeftAh - chargeUsedAh,
    endVoltsPerCell: race.endVoltsPerCell,
    minVoltsPerCell: race.minVoltsPerCell,
    canC: isAbsent(race.canC) ? 0 : race.canC,
  }
}

/** F(n - 1) + u (F(n) - F(n - 1)): even on 0..1 where the chances are right. */
export function randomisedPit(results: readonly LikelyResult[], laps: number, u: number): number {
  const below = results.filter((r) => r.laps < laps).reduce((s, r) => s + r.chance, 0)
  return below + u * (results.find((r) => r.laps === laps)?.chance ?? 0)
}
