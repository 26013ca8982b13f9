import { finalDrive } from '../gearing/final-drive'
import { rollout } from '../gearing/rollout'
import type { Car } from '../lap/car'
import type { TracePoint } from '../lap/drive-result'
import type { DriveSettings } from '../lap/segment-driver'
import { simulateLap, type LapRun } from '../lap/simulate-lap'
import { isAbsent, type Maybe } from '../maybe'
import { simulateRace, type RaceRun } from '../race/simulate-race'
import type { Track } from '../track/track'

export const differenceKinds = [
  { id: 'finalDrive', unit: '' },
  { id: 'rolloutMm', unit: 'mm' },
  { id: 'lapS', unit: 's' },
  { id: 'topSpeedMps', unit: 'm/s' },
  { id: 'peakMotorCurrentA', unit: 'A' },
  { id: 'peakMotorRpm', unit: 'rpm' },
  { id: 'chargePerLapAh', unit: 'Ah' },
  { id: 'raceLaps', unit: 'laps' },
  { id: 'raceFinishS', unit: 's' },
  { id: 'chargeUsedAh', unit: 'Ah' },
  { id: 'endVoltsPerCell', unit: 'V' },
  { id: 'minVoltsPerCell', unit: 'V' },
  { id: 'canC', unit: '°C' },
  { id: 'windingC', unit: '°C' },
] as const
export type DifferenceKind = (typeof differenceKinds)[number]['id']

export interface Difference {
  id: DifferenceKind
  unit: string
  today: Maybe<number>
  trial: Maybe<number>
  /** Trial minus today; absent when either is. */
  difference: Maybe<number>
}

export interface TraceSample {
  distanceM: number
  today: TracePoint
  trial: TracePoint
  /** Trial's time minus today's up to here, s. */
  timeGapS: number
}

export interface Comparison {
  differences: Difference[]
  /** Both laps at the same distances. */
  trace: TraceSample[]
  today: { lap: LapRun; race: RaceRun }
  trial: { lap: LapRun; race: RaceRun }
}

/**
 * A trial beside today's car: both laps and races, a table of differences, and both traces at the same distances.
 * @returns absence when either car cannot lap
 * @throws RangeProblem
 */
export function compareCars(
  today: Car,
  trial: Car,
  track: Track,
  options: { raceSeconds: number; samples?: number; settings?: DriveSettings },
): Maybe<Comparison> {
  const drive = (car: Car): Maybe<{ lap: LapRun; race: RaceRun }> => {
    const lap = simulateLap(car, track, options.settings ? { settings: options.settings } : {})
    if (isAbsent(lap)) return lap
    const race = simulateRace(car, track, options, options.settings)
    return isAbsent(race) ? race : { lap, race }
  }
  const a = drive(today)
  if (isAbsent(a)) return a
  const b = drive(trial)
  if (isAbsent(b)) return b
  const [va, vb] = [valuesOf(today, a), valuesOf(trial, b)]
  return {
    today: a,
    trial: b,
    differences: differenceKinds.map(({ id, unit }) => {
      const [x, y] = [va[id], vb[id]]
      return { id, unit, today: x, trial: y, difference: isAbsent(x) ? x : isAbsent(y) ? y : y - x }
    }),
    trace: sideBySide(a.lap, b.lap, Math.max(2, Math.min(5000, Math.round(options.samples ?? 400)))),
  }
}

function valuesOf(
  car: Car,
  { lap, race }: { lap: LapRun; race: RaceRun },
): Record<DifferenceKind, Maybe<number>> {
  const ratio = finalDrive(car)
  return {
    finalDrive: ratio,
    rolloutMm: rollout({ tireDiameterMm: car.tireDiameterMm, finalDrive: ratio }),
    lapS: lap.timeS,
    topSpeedMps: lap.topSpeedMps,
    peakMotorCurrentA: lap.peakMotorCurrentA,
    peakMotorRpm: lap.peakMotorRpm,
    chargePerLapAh: lap.chargeAh,
    raceLaps: race.laps,
    raceFinishS: race.finishSeconds,
    chargeUsedAh: race.chargeUsedAh,
    endVoltsPerCell: race.endVoltsPerCell,
    minVoltsPerCell: race.minVoltsPerCell,
    canC: race.canC,
    windingC: race.windingC,
  }
}

function sideBySide(a: LapRun, b: LapRun, samples: number): TraceSample[] {
  const readA = reader(a.trace)
  const readB = reader(b.trace)
  return Array.from({ length: samples }, (_, i): TraceSample => {
    const distanceM = (a.lengthM * i) / (samples - 1)
    const [today, trial] = [readA(distanceM), readB(distanceM)]
    return { distanceM, today, trial, timeGapS: trial.timeS - today.timeS }
  })
}

/** Linear reading of a trace at rising distances. */
function reader(points: readonly TracePoint[]): (distanceM: number) => TracePoint {
  let i = 0
  return (x) => {
    while (i < points.length - 2 && (points[i + 1]?.distanceM ?? Infinity) < x) i++
    const p = points[i] as TracePoint
    const q = points[i + 1] ?? p
    const width = q.distanceM - p.distanceM
    const f = width > 0 ? Math.min(1, Math.max(0, (x - p.distanceM) / width)) : 0
    const mix = (u: number, v: number) => u + f * (v - u)
    return {
      timeS: mix(p.timeS, q.timeS),
      distanceM: x,
      speedMps: mix(p.speedMps, q.speedMps),
      motorCurrentA: mix(p.motorCurrentA, q.motorCurrentA),
      batteryCurrentA: mix(p.batteryCurrentA, q.batteryCurrentA),
      packVoltageV: mix(p.packVoltageV, q.packVoltageV),
      timingDeg: mix(p.timingDeg, q.timingDeg),
      motorRpm: mix(p.motorRpm, q.motorRpm),
      limit: f < 0.5 ? p.limit : q.limit,
    }
  }
}
