import type { Car } from '../lap/car'
import type { DriveSettings } from '../lap/segment-driver'
import { simulateLap } from '../lap/simulate-lap'
import { absent, isAbsent, type Maybe } from '../maybe'
import { paceFor } from '../pace/pace-for'
import { readTable } from '../pack/rest-voltage'
import { simulateRace } from '../race/simulate-race'
import type { Track } from '../track/track'
import { carUncertainty } from './car-uncertainty'
import { withUncertainty, type UncertainValue } from './with-uncertainty'

/** What a card projects, each with its interval. `canC` is there when the motor's thermal data is. */
export type ProjectedFigure =
  | 'lapS'
  | 'topSpeedMps'
  | 'meanRaceLapS'
  | 'raceLaps'
  | 'raceFinishS'
  | 'chargeUsedAh'
  | 'chargeLeftAh'
  | 'endVoltsPerCell'
  | 'minVoltsPerCell'
  | 'canC'

/** Of one flying lap at the race's half: what the race's figures are scaled by. */
type Smooth =
  | 'lapS'
  | 'topSpeedMps'
  | 'chargeAh'
  | 'minPackVoltageV'
  | 'heatW'
  | 'capacityAh'
  | 'lapOffsetS'
  | 'meanLapOffsetS'

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
 * Flying lap and race with a 90 % interval on every figure. The race as the car stands is driven once; each moved input then costs one flying lap
 * at the race's half charge and temperature, whose figures scale the race's: 2 n + 1 laps (25 for all twelve inputs), one lap and one race.
 * @returns absence when the car as it is cannot drive or finish
 * @throws RangeProblem
 */
export function projectRaceWithUncertainty(
  car: Car,
  track: Track,
  options: RaceProjectionOptions,
): Maybe<Partial<Record<ProjectedFigure, UncertainValue>>> {
  const settings = options.settings ?? quick
  const { raceSeconds } = options
  const { inputs, carWith } = carUncertainty(car, options.stated)
  const race = simulateRace(car, track, { raceSeconds }, settings)
  if (isAbsent(race)) return race
  if (!isAbsent(race.stopped)) return absent(race.stopped.reason)
  const flying = simulateLap(car, track, { trace: false, settings })
  if (isAbsent(flying)) return flying
  const table = car.pack.restVoltageTable
  const fullSoc = car.pack.stateOfCharge ?? table.at(-1)?.[0] ?? 1
  const emptySoc = table[0]?.[0] ?? 0
  const ambientC = car.ambientC ?? 25
  const canRise = isAbsent(race.canC) ? undefined : race.canC - (car.motor.startTemperatureC ?? ambientC)
  const halfWay = (trial: Car): Car => ({
    ...trial,
    pack: { ...trial.pack, stateOfCharge: (fullSoc + race.stateOfChargeLeft) / 2 },
    motor: {
      ...trial.motor,
      ...(!isAbsent(race.windingC) && {
        startTemperatureC: ((trial.motor.startTemperatureC ?? ambientC) + race.windingC) / 2,
      }),
    },
  })
  const evaluate = (values: readonly number[]): Maybe<Record<Smooth, number>> => {
    const trial = carWith(values)
    const lap = simulateLap(halfWay(trial), track, { trace: false, settings })
    if (isAbsent(lap)) return lap
    return {
      lapS: lap.timeS,
      topSpeedMps: lap.topSpeedMps,
      chargeAh: lap.chargeAh,
      minPackVoltageV: lap.minPackVoltageV,
      heatW: lap.motorHeatJ / lap.timeS,
      capacityAh: trial.pack.capacityAh,
      lapOffsetS: 0,
      meanLapOffsetS: 0,
    }
  }
  const half = evaluate(inputs.map((i) => i.value))
  if (isAbsent(half)) return half
  const meanLap = race.finishSeconds / race.laps
  const chargePerLap = race.chargeUsedAh / race.laps

  const derive = (s: Record<Smooth, number>) => {
    const meanRaceLapS = Math.max(1, (meanLap * s.lapS) / half.lapS + s.meanLapOffsetS)
    const { laps, finishSeconds } = paceFor({ raceSeconds, lapSeconds: meanRaceLapS })
    const chargeUsedAh = Math.max(0, (chargePerLap * laps * s.chargeAh) / half.chargeAh)
    const startChargeAh = Math.max(1e-9, s.capacityAh * (fullSoc - emptySoc))
    const chargeLeftAh = Math.max(0, startChargeAh - chargeUsedAh)
    const endVoltsPerCell = readTable(table, emptySoc + (chargeLeftAh / startChargeAh) * (fullSoc - emptySoc))
    return {
      lapS: (flying.timeS * s.lapS) / half.lapS + s.lapOffsetS,
      topSpeedMps: (flying.topSpeedMps * s.topSpeedMps) / half.topSpeedMps,
      meanRaceLapS,
      raceLaps: laps,
      raceFinishS: finishSeconds,
      chargeUsedAh,
      chargeLeftAh,
      endVoltsPerCell,
      // The lowest voltage comes late in the race: it moves with the sag, and with where the charge then stands.
      minVoltsPerCell:
        race.minVoltsPerCell +
        (s.minPackVoltageV - half.minPackVoltageV) / car.pack.cells +
        endVoltsPerCell -
        race.endVoltsPerCell,
      // A race is short against the can's time constant: it warms about in proportion to heat and time.
      ...(canRise !== undefined && {
        canC: ambientC + canRise * (s.heatW / half.heatW) * (finishSeconds / race.finishSeconds),
      }),
    } as Record<ProjectedFigure, number>
  }
  const scatter = (sd: number) => ({
    sd,
    name: 'driver and traffic',
    measure: 'more clean laps of this driver here',
  })
  return withUncertainty<Smooth, ProjectedFigure>({
    inputs,
    evaluate,
    derive,
    // A race averages its laps: their scatter shrinks by the root of their number.
    ...(options.lapScatterS && {
      scatter: {
        lapOffsetS: scatter(options.lapScatterS),
        meanLapOffsetS: scatter(options.lapScatterS / Math.sqrt(race.laps)),
      },
    }),
    ...(options.seed !== undefined && { seed: options.seed }),
  })
}
