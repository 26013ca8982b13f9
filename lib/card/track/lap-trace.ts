import { isAbsent, simulateLap, type DriveLimit, type LapRun } from '../../setup-math'
import type { ProjectionBasis } from '../projections/projections-basis'
import { carOf, trackOf, valuesOf } from '../projections/projections-car'
import { LAP_SETTINGS, nameOf } from '../projections/projections-drive'

/** A piece of track as it was driven; places along the lap, m. */
export interface TraceMark {
  atM: number
  lengthM: number
  name: string
  kind: 'straight' | 'corner'
  /** Where the car brakes, and where turbo fires; null where it does not. */
  brakeAtM: number | null
  turboAtM: number | null
}

/** One lap along its distance, as columns of equal length. */
export interface LapTrace {
  lapS: number
  distanceM: number[]
  speedMps: number[]
  motorCurrentA: number[]
  packVoltageV: number[]
  timingDeg: number[]
  /** What keeps the car from going faster. */
  limit: DriveLimit[]
  /** Every piece of track, in driving order. */
  marks: TraceMark[]
}

/** A trace longer than this shows nothing more on a screen. */
const MOST_POINTS = 400

/** The flying lap of a card. A text instead says why there is none. */
export function lapTrace(basis: ProjectionBasis): LapTrace | string {
  if (basis.lacks.length || !basis.segments) return 'A lap needs a motor, gearing and a track.'
  const values = valuesOf(basis)
  const track = trackOf(basis.segments, (values.trackScalePercent ?? 100) / 100, values.bumpsN)
  const lap = simulateLap(carOf(basis, values), track, { settings: { ...LAP_SETTINGS, maxStepS: 0.05 } })
  if (isAbsent(lap)) return lap.reason
  const every = Math.max(1, Math.ceil(lap.trace.length / MOST_POINTS))
  const points = lap.trace.filter((_, i) => i % every === 0 || i === lap.trace.length - 1)
  return {
    lapS: lap.timeS,
    distanceM: points.map((p) => p.distanceM),
    speedMps: points.map((p) => p.speedMps),
    motorCurrentA: points.map((p) => p.motorCurrentA),
    packVoltageV: points.map((p) => p.packVoltageV),
    timingDeg: points.map((p) => p.timingDeg),
    limit: points.map((p) => p.limit),
    marks: lap.segments.map((s) => markOf(s, lap)),
  }
}

function markOf(s: LapRun['segments'][number], lap: LapRun): TraceMark {
  const fires = s.events.find((e) => e.kind === 'turbo fires')
  return {
    atM: s.startM,
    lengthM: s.lengthM,
    name: nameOf(s, lap),
    kind: s.kind,
    brakeAtM: isAbsent(s.brakeAtM) ? null : s.startM + s.brakeAtM,
    turboAtM: fires ? s.startM + fires.distanceM : null,
  }
}

/** A trace's column; `limit` is no number. */
export type TraceColumn = 'speedMps' | 'motorCurrentA' | 'packVoltageV' | 'timingDeg'

/** A column read at a place of the lap, m: straight between its points, its ends beyond them. */
export function traceAt(trace: LapTrace, column: TraceColumn, atM: number): number {
  const { distanceM } = trace
  const values = trace[column]
  const i = distanceM.findIndex((d) => d >= atM)
  if (i <= 0) return (i === 0 ? values[0] : values.at(-1)) ?? 0
  const [from, to] = [distanceM[i - 1] ?? 0, distanceM[i] ?? 0]
  const [a, b] = [values[i - 1] ?? 0, values[i] ?? 0]
  return to > from ? a + ((atM - from) / (to - from)) * (b - a) : b
}
