import { motorHeat } from '../heat/motor-heat'
import type { Car } from '../lap/car'
import type { DriveSettings } from '../lap/segment-driver'
import { simulateLap, type LapRun } from '../lap/simulate-lap'
import { absent, isAbsent, type Maybe } from '../maybe'
import { paceFor } from '../pace/pace-for'
import { readTable } from '../pack/rest-voltage'
import type { RaceRun } from '../race/simulate-race'
import type { Track } from '../track/track'

/** Full throttle held on segment i, s, and its like: one figure for each segment of the track. */
type OfSegment = `full${number}`

/** What a card projects. `canC` is there when the motor's thermal data is; of the race only where it is finished. */
export type ProjectedFigure =
  | 'lapS'
  | 'topSpeedMps'
  | 'peakMotorCurrentA'
  | 'meanRaceLapS'
  | 'raceDistanceLaps'
  | 'chargeUsedAh'
  | 'chargeLeftAh'
  | 'stateOfChargeLeft'
  | 'endVoltsPerCell'
  | 'minVoltsPerCell'
  | 'canC'
  | 'turboFires'
  | OfSegment

/** Figures without jumps, of one flying lap at the race's start and one at its half: what the race's own are scaled by. */
export type SmoothFigure =
  | 'lapS'
  | 'topSpeedMps'
  | 'peakMotorCurrentA'
  | 'halfLapS'
  | 'halfChargeAh'
  | 'halfMinPackVoltageV'
  | 'capacityAh'
  | 'startSoc'
  | 'ambientC'
  | 'canRiseAtBellK'
  | 'canRisePerS'
  | 'lapOffsetS'
  | 'meanLapOffsetS'
  | OfSegment

export type SmoothFigures = Record<SmoothFigure, number>

/** A race driven once, ready to say what it becomes for a car and track a little off it. */
export interface NearRace {
  /** Two flying laps of such a car; absence where it does not get round. @throws RangeProblem */
  smooth: (car: Car, track: Track) => Maybe<SmoothFigures>
  /** The figures shown, from the smooth ones: the whole laps come in here, so that nothing before it jumps. */
  figures: (smooth: SmoothFigures) => Partial<Record<ProjectedFigure, number>>
}

/**
 * What a race becomes for a car and a track near those that it was driven with, at the price of two laps instead of a whole race. Pace, charge and
 * sag scale as those of a flying lap at half the race's charge and warmth; the can warms as the two-node motor does under that lap's mean losses.
 * Whole lap counts are left to the end: a race driven anew for each input would jump by a lap here and there, and slopes taken across such a jump
 * mean nothing. How far the scaling holds is measured against whole races by the coverage tests.
 * @returns absence where the car does not get round at the race's half
 * @throws RangeProblem
 */
export function nearRace(
  drive: { car: Car; track: Track; lap: LapRun; race: RaceRun; raceSeconds: number },
  settings: DriveSettings,
): Maybe<NearRace> {
  const { car, track, lap, race, raceSeconds } = drive
  const startOf = (c: Car) => c.pack.stateOfCharge ?? c.pack.restVoltageTable.at(-1)?.[0] ?? 1
  const ambientOf = (c: Car) => c.ambientC ?? 25
  const finished = isAbsent(race.stopped)
  const meanLapS = race.finishSeconds / Math.max(1, race.laps)
  const emptySoc = car.pack.restVoltageTable[0]?.[0] ?? 0
  const windingRiseK = isAbsent(race.windingC)
    ? 0
    : race.windingC - (car.motor.startTemperatureC ?? ambientOf(car))

  const halfWay = (c: Car): Car => ({
    ...c,
    pack: {
      ...c.pack,
      stateOfCharge: Math.max(emptySoc, startOf(c) - race.chargeUsedAh / 2 / c.pack.capacityAh),
    },
    motor: {
      ...c.motor,
      // A motor that hot is on its way to burning out; the lap hardly feels how far.
      startTemperatureC: Math.min(190, (c.motor.startTemperatureC ?? ambientOf(c)) + windingRiseK / 2),
    },
  })

  const smooth: NearRace['smooth'] = (c, t) => {
    const own = c === car && t === track ? lap : simulateLap(c, t, { trace: false, settings })
    if (isAbsent(own)) return own
    const half = finished ? simulateLap(halfWay(c), t, { trace: false, settings }) : own
    if (isAbsent(half)) return half
    const can = canRise(c, half, raceSeconds, meanLapS)
    if (isAbsent(can)) return can
    const out: SmoothFigures = {
      lapS: own.timeS,
      topSpeedMps: own.topSpeedMps,
      peakMotorCurrentA: own.peakMotorCurrentA,
      halfLapS: half.timeS,
      halfChargeAh: half.chargeAh,
      halfMinPackVoltageV: half.minPackVoltageV,
      capacityAh: c.pack.capacityAh,
      startSoc: startOf(c),
      ambientC: ambientOf(c),
      ...can,
      lapOffsetS: 0,
      meanLapOffsetS: 0,
    }
    own.segments.forEach((s, i) => (out[`full${i}`] = s.fullThrottleS))
    return out
  }

  const base = smooth(car, track)
  if (isAbsent(base)) return base
  const table = car.pack.restVoltageTable
  const segments = lap.segments.map((_, i): OfSegment => `full${i}`)
  const turbo = car.controller?.turbo
  const straights = lap.segments.flatMap((s, i): OfSegment[] => (s.kind === 'straight' ? [`full${i}`] : []))
  const voltsAt = (soc: number) => readTable(table, Math.min(table.at(-1)?.[0] ?? 1, Math.max(emptySoc, soc)))
  const slowLeft = voltsAt(race.stateOfChargeLeft) - race.endVoltsPerCell
  const modelRiseK = base.canRiseAtBellK + base.canRisePerS * (race.finishSeconds - raceSeconds)
  const rise = isAbsent(race.canC) || !(modelRiseK > 0) ? undefined : (race.canC - base.ambientC) / modelRiseK

  const figures: NearRace['figures'] = (s) => {
    const out: Partial<Record<ProjectedFigure, number>> = {
      lapS: s.lapS + s.lapOffsetS,
      topSpeedMps: s.topSpeedMps,
      peakMotorCurrentA: s.peakMotorCurrentA,
    }
    for (const key of segments) out[key] = s[key] ?? 0
    // Counted draw by draw: straights whose full trigger lasts as long as the delay, so that the count has a spread of its own.
    if (turbo && turbo.degrees > 0)
      out.turboFires = straights.filter((key) => (s[key] ?? 0) >= turbo.delayS - 1e-9).length
    if (!finished) return out
    const meanRaceLapS = Math.max(1, (meanLapS * s.halfLapS) / base.halfLapS + s.meanLapOffsetS)
    const { laps, finishSeconds } = paceFor({ raceSeconds, lapSeconds: meanRaceLapS })
    const chargeUsedAh = Math.max(
      0,
      ((race.chargeUsedAh / race.laps) * laps * s.halfChargeAh) / base.halfChargeAh,
    )
    const stateOfChargeLeft = Math.max(emptySoc, s.startSoc - chargeUsedAh / Math.max(1e-9, s.capacityAh))
    // What the slow sag leaves a minute after the run goes with the charge.
    const endVoltsPerCell =
      voltsAt(stateOfChargeLeft) - (slowLeft * chargeUsedAh) / Math.max(1e-9, race.chargeUsedAh)
    out.meanRaceLapS = meanRaceLapS
    out.raceDistanceLaps = raceSeconds / meanRaceLapS
    out.chargeUsedAh = chargeUsedAh
    out.chargeLeftAh = (stateOfChargeLeft - emptySoc) * s.capacityAh
    out.stateOfChargeLeft = stateOfChargeLeft
    out.endVoltsPerCell = endVoltsPerCell
    // The lowest voltage comes late in the race: it moves with the sag, and with where the charge then stands. The lap at the half already stands on its
    // own charge, so only the rest of the way is still to come.
    const restAtHalf = (soc: number, capacityAh: number) => voltsAt(soc - race.chargeUsedAh / 2 / capacityAh)
    out.minVoltsPerCell =
      race.minVoltsPerCell +
      (s.halfMinPackVoltageV - base.halfMinPackVoltageV) / car.pack.cells -
      (restAtHalf(s.startSoc, s.capacityAh) - restAtHalf(base.startSoc, base.capacityAh)) +
      (endVoltsPerCell - race.endVoltsPerCell)
    if (rise !== undefined)
      out.canC = s.ambientC + rise * (s.canRiseAtBellK + s.canRisePerS * (finishSeconds - raceSeconds))
    return out
  }
  return { smooth, figures }
}

/**
 * The can's rise above the air, K, when the race's time is up, and per second of the lap after it, under the lap's mean losses (two-node motor,
 * steady powers: `motorHeat` with a resistance that does not change).
 */
function canRise(
  car: Car,
  lap: LapRun,
  raceSeconds: number,
  lapS: number,
): Maybe<Pick<SmoothFigures, 'canRiseAtBellK' | 'canRisePerS'>> {
  const { thermal, resistanceOhm, startTemperatureC } = car.motor
  if (!thermal) return { canRiseAtBellK: 0, canRisePerS: 0 }
  const ambientC = car.ambientC ?? 25
  const ironJ = lap.energy.noLoadLossJ + lap.energy.brakeCanJ
  const windingW = Math.max(0, lap.motorHeatJ - ironJ) / lap.timeS
  const at = (seconds: number): Maybe<number> => {
    const reached = motorHeat(
      { ...thermal, resistance25Ohm: resistanceOhm, copperCoefficient: 0 },
      {
        currentA: Math.sqrt(windingW / resistanceOhm),
        ironLossW: ironJ / lap.timeS,
        seconds,
        ambientC,
        ...(startTemperatureC !== undefined && {
          startWindingC: startTemperatureC,
          startCanC: startTemperatureC,
        }),
      },
    )
    return isAbsent(reached) ? reached : reached.canC - ambientC
  }
  const [bell, later] = [at(raceSeconds), at(raceSeconds + lapS)]
  if (isAbsent(bell)) return bell
  if (isAbsent(later)) return absent(later.reason)
  return { canRiseAtBellK: bell, canRisePerS: (later - bell) / lapS }
}
