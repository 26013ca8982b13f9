import { refusalText } from '../../core/result'
import {
  absent,
  isAbsent,
  nearRace,
  RangeProblem,
  simulateLap,
  simulateRace,
  type DriveSettings,
  type LapRun,
  type LapSegment,
  type Maybe,
  type NearRace,
  type ProjectedFigure,
  type RaceRun,
  type SmoothFigures,
} from '../../setup-math'
import type { ProjectionBasis } from './projections-basis'
import { carOf, trackOf } from './projections-car'
import type { InputValues } from './projections-inputs'
import { refusalOf } from './projections-refusal'
import { intervalsOf, type Figures, type Interval } from './projections-spread'

/** The simulator meets its events exactly at any step, so a coarse one is as good (see the step-invariance tests of setup-math). */
export const LAP_SETTINGS: DriveSettings = { tolerance: 1e-6, maxStepS: 0.5 }

/** A card's flying lap and race, as driven. */
export interface Drive {
  lap: LapRun
  race: RaceRun
}

export function drive(basis: ProjectionBasis, values: InputValues): Drive | string {
  const { car, track } = roundOf(basis, values)
  const lap = simulateLap(car, track, { trace: false, settings: LAP_SETTINGS })
  if (isAbsent(lap)) return lap.reason
  const race = simulateRace(car, track, { raceSeconds: basis.raceSeconds }, LAP_SETTINGS)
  return isAbsent(race) ? race.reason : { lap, race }
}

/** The lap's and the race's figures by name; null where the car does not get round. @throws RangeProblem */
export function driveFigures(basis: ProjectionBasis, values: InputValues): Figures | null {
  const d = drive(basis, values)
  return typeof d === 'string' ? null : figuresOf(d, basis.raceSeconds)
}

/** A race as the model drives it to the flag; null where the car does not get round, stops before it, or a value is past what can be driven. */
export function drivenToFinish(basis: ProjectionBasis, values: InputValues): Drive | null {
  try {
    const d = drive(basis, values)
    return typeof d === 'string' || !isAbsent(d.race.stopped) ? null : d
  } catch (e) {
    if (e instanceof RangeProblem) return null
    throw e
  }
}

const roundOf = (basis: ProjectionBasis, values: InputValues) => ({
  car: carOf(basis, values),
  track: trackOf(basis.segments ?? [], (values.trackScalePercent ?? 100) / 100, values.bumpsN),
})

/** A drive's figures by name. */
export function figuresOf({ lap, race }: Drive, raceSeconds: number): Figures {
  const meanLap = race.lapSeconds.length ? race.finishSeconds / race.lapSeconds.length : lap.timeS
  const out: Record<string, number> = {
    topMps: lap.topSpeedMps,
    lapS: lap.timeS,
    meanLapS: meanLap,
    distanceLaps: raceSeconds / meanLap,
    chargeUsedMah: race.chargeUsedAh * 1000,
    chargeLeftPercent: race.stateOfChargeLeft * 100,
    endV: race.endVoltsPerCell,
    lowV: race.minVoltsPerCell,
    peakA: lap.peakMotorCurrentA,
  }
  if (!isAbsent(race.canC)) out['canC'] = race.canC
  if (!isAbsent(race.peakWindingC)) out['windingC'] = race.peakWindingC
  lap.segments.forEach((s, i) => {
    out[`full${i}`] = s.fullThrottleS
    out[`peak${i}`] = s.peakSpeedMps
  })
  return out
}

/** What moved inputs make of a drive: smooth figures by two laps each, and from them the figures shown, in setup-math's names. */
export interface NearDrive {
  smooth: (values: InputValues) => Maybe<SmoothFigures>
  figures: NearRace['figures']
}

/** Absence where nothing near it can be said. @throws RangeProblem */
export function nearDrive(basis: ProjectionBasis, values: InputValues, driven: Drive): Maybe<NearDrive> {
  const { car, track } = roundOf(basis, values)
  const near = nearRace({ car, track, ...driven, raceSeconds: basis.raceSeconds }, LAP_SETTINGS)
  if (isAbsent(near)) return near
  return {
    smooth: (moved) => {
      try {
        const trial = roundOf(basis, moved)
        return near.smooth(trial.car, trial.track)
      } catch (e) {
        // A value moved past its range on one side only: the other side speaks alone.
        if (e instanceof RangeProblem) return absent(refusalText(refusalOf(e, basis)))
        throw e
      }
    },
    figures: near.figures,
  }
}

/** A card's figure in setup-math: its name there, and by what it is multiplied here. */
export const PROJECTED_AS: Readonly<Record<string, readonly [name: ProjectedFigure, times: number]>> = {
  topMps: ['topSpeedMps', 1],
  lapS: ['lapS', 1],
  peakA: ['peakMotorCurrentA', 1],
  meanLapS: ['meanRaceLapS', 1],
  distanceLaps: ['raceDistanceLaps', 1],
  chargeUsedMah: ['chargeUsedAh', 1000],
  chargeLeftPercent: ['stateOfChargeLeft', 100],
  endV: ['endVoltsPerCell', 1],
  lowV: ['minVoltsPerCell', 1],
  canC: ['canC', 1],
  turboFires: ['turboFires', 1],
}

/** The intervals of a drive's figures, under the names and in the units of `figuresOf`. @throws RangeProblem */
export function driveIntervals(
  basis: ProjectionBasis,
  values: InputValues,
  driven: Drive,
): Record<string, Interval> {
  const near = nearDrive(basis, values, driven)
  if (isAbsent(near)) return {}
  const known = intervalsOf(basis, near.smooth, near.figures)
  const out: Record<string, Interval> = {}
  for (const [key, [name, times]] of Object.entries(PROJECTED_AS)) {
    const one = known[name]
    if (one)
      out[key] = {
        ...one,
        plusMinus: times * one.plusMinus,
        draws: times === 1 ? one.draws : one.draws.map((x) => times * x),
      }
  }
  driven.lap.segments.forEach((_, i) => {
    const one = known[`full${i}`]
    if (one) out[`full${i}`] = one
  })
  return out
}

/** Where the lap is fastest. */
export const fastest = (lap: LapRun): LapSegment | undefined =>
  lap.segments.reduce<LapSegment | undefined>(
    (a, b) => (a && a.peakSpeedMps >= b.peakSpeedMps ? a : b),
    undefined,
  )

export function nameOf(s: LapSegment, lap: LapRun): string {
  if (s.name) return s.name
  const alike = lap.segments.filter((x) => x.kind === s.kind)
  return `${s.kind} ${alike.indexOf(s) + 1}`
}
