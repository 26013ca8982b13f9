import type { Car } from '../lap/car'
import type { DriveSettings } from '../lap/segment-driver'
import { simulateLap } from '../lap/simulate-lap'
import { absent, isAbsent, type Maybe } from '../maybe'
import { simulateRace } from '../race/simulate-race'
import type { Track } from '../track/track'
import { carUncertainty } from './car-uncertainty'
import { nearRace, type ProjectedFigure, type SmoothFigure } from './near-race'
import { withUncertainty, type UncertainValue } from './with-uncertainty'

export interface RaceProjectionOptions {
  raceSeconds: number
  /** Standard uncertainties by the car's quantity id, absolute. */
  stated?: Readonly<Record<string, number>>
  /** What driver, traffic and bumps add, one standard deviation; none when absent. */
  lapScatterS?: number
  seed?: number
  /** Looser than a lap on its own needs: an interval is wider than this by orders. */
  settings?: DriveSettings
}

const quick: DriveSettings = { tolerance: 1e-6, maxStepS: 0.5 }

/**
 * Flying lap and race with a 90% interval on every figure. The race as the car stands is driven once; each moved input then costs two flying laps
 * (`nearRace`): 4 n + 2 laps for n inputs, and one race. How many laps the race may end with, and when: `likelyResults` of `meanRaceLapS`.
 * @returns absence when the car as it is cannot drive or finish
 * @throws RangeProblem
 */
export function projectRaceWithUncertainty(
  car: Car,
  track: Track,
  options: RaceProjectionOptions,
): Maybe<Partial<Record<ProjectedFigure, UncertainValue>>> {
  const settings = options.settings ?? quick
  const { raceSeconds, lapScatterS } = options
  const { inputs, carWith } = carUncertainty(car, options.stated)
  const race = simulateRace(car, track, { raceSeconds }, settings)
  if (isAbsent(race)) return race
  if (!isAbsent(race.stopped)) return absent(race.stopped.reason)
  const lap = simulateLap(car, track, { trace: false, settings })
  if (isAbsent(lap)) return lap
  const near = nearRace({ car, track, lap, race, raceSeconds }, settings)
  if (isAbsent(near)) return near
  const scatter = (sd: number) => ({
    sd,
    name: 'driver and traffic',
    measure: 'more clean laps of this driver here',
  })
  return withUncertainty<SmoothFigure, Partial<Record<ProjectedFigure, number>>>({
    inputs,
    evaluate: (values) => near.smooth(carWith(values), track),
    derive: near.figures,
    // A race averages its laps: their scatter shrinks by the root of their number.
    ...(lapScatterS && {
      scatter: {
        lapOffsetS: scatter(lapScatterS),
        meanLapOffsetS: scatter(lapScatterS / Math.sqrt(race.laps)),
      },
    }),
    ...(options.seed !== undefined && { seed: options.seed }),
  })
}
