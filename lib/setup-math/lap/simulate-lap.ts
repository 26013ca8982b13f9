import { absent, isAbsent, type Maybe } from '../maybe'
import { segmentLength, type Segment, type Track } from '../track/track'
import type { Car } from './car'
import type { SegmentRun, TracePoint } from './drive-result'
import { planLap, type LapPlan } from './lap-plan'
import { readLedger, slot, type EnergyLedger } from './ledger'
import { prepareCar, type PreparedCar } from './prepared-car'
import { startState, type RunState } from './run-state'
import { SegmentDriver, usualDriveSettings, type DriveSettings } from './segment-driver'

export interface LapSegment extends SegmentRun {
  kind: Segment['kind']
  name?: string
  startM: number
  lengthM: number
}

export interface LapRun {
  timeS: number
  lengthM: number
  /** Speed over the line, in and out. */
  entrySpeedMps: number
  topSpeedMps: number
  segments: LapSegment[]
  /** Along the lap; empty when not asked for. */
  trace: TracePoint[]
  energy: EnergyLedger
  chargeAh: number
  /** What warms the motor over the lap: winding and no-load losses, and braking (counted when the motor's thermal data is known), J. */
  motorHeatJ: number
  minPackVoltageV: number
  peakMotorCurrentA: number
  peakMotorRpm: number
  /** Passes that the closed lap took. */
  passes: number
}

export interface LapOptions {
  trace?: boolean
  settings?: DriveSettings
}

const mostPasses = 60
const closedMps = 1e-9

/**
 * A flying lap: full throttle, brakes and corner speeds at the limit, repeated until the speed over the line in and out agree.
 * @returns absence when the car cannot get round
 * @throws RangeProblem
 */
export function simulateLap(car: Car, track: Track, options: LapOptions = {}): Maybe<LapRun> {
  const prepared = prepareCar(car)
  const plan = planLap(prepared, track)
  const driver = new SegmentDriver(prepared, options.settings ?? usualDriveSettings)
  let entry = Math.min(
    plan.startLimitMps,
    (prepared.cells * 4.5) / (prepared.ktNmPerA * prepared.motorPerSpeed),
  )
  let held = 0
  let before: { entry: number; gap: number } | undefined
  for (let passes = 1; passes <= mostPasses; passes++) {
    const state = startState(prepared, entry)
    state.heldS = held
    const trace: TracePoint[] = []
    const runs = driveLap(driver, plan, state, options.trace === false ? undefined : trace)
    if (isAbsent(runs)) return runs
    const exit = Math.min(state.speedMps, plan.startLimitMps)
    const gap = exit - entry
    if (Math.abs(gap) < closedMps && state.heldS > 0 === held > 0) {
      return describeLap(prepared, track, runs, trace, state, entry, passes)
    }
    held = state.heldS
    // Secant once two gaps are known: a lap without a braking point forgets its entry speed slowly.
    const step: number =
      before && gap !== before.gap ? entry - (gap * (entry - before.entry)) / (gap - before.gap) : exit
    before = { entry, gap }
    entry = step > 0 && step <= plan.startLimitMps && passes > 2 ? step : exit
  }
  return absent('the lap does not settle: speed over the line keeps changing from lap to lap')
}

/** One pass over the plan from `state`, which is carried on. */
export function driveLap(
  driver: SegmentDriver,
  plan: LapPlan,
  state: RunState,
  points?: TracePoint[],
  from: { timeS: number; fromM: number } = { timeS: 0, fromM: 0 },
): Maybe<SegmentRun[]> {
  const runs: SegmentRun[] = []
  let { timeS, fromM } = from
  for (const task of plan.tasks) {
    const run = driver.drive(task, state, points && { points, timeS, fromM })
    if (isAbsent(run)) return run
    runs.push(run)
    timeS += run.timeS
    fromM += task.lengthM
  }
  return runs
}

function describeLap(
  car: PreparedCar,
  track: Track,
  runs: SegmentRun[],
  trace: TracePoint[],
  state: RunState,
  entrySpeedMps: number,
  passes: number,
): LapRun {
  let startM = 0
  const segments = runs.map((run, i): LapSegment => {
    const s = track.segments[i] as Segment
    const lengthM = segmentLength(s)
    // The run is this lap's own: added to in place, for a copy of all of it costs a tenth of the lap.
    const out: LapSegment = Object.assign(run, { kind: s.kind, startM, lengthM })
    if (s.name !== undefined) out.name = s.name
    startM += lengthM
    return out
  })
  const kinetic = (car.inertiaKg * (state.speedMps ** 2 - entrySpeedMps ** 2)) / 2
  return {
    timeS: runs.reduce((sum, r) => sum + r.timeS, 0),
    lengthM: startM,
    entrySpeedMps,
    topSpeedMps: Math.max(...runs.map((r) => r.peakSpeedMps)),
    segments,
    trace,
    energy: readLedger(state.sums, kinetic, state.returnedJ),
    chargeAh: state.drawnC / 3600,
    motorHeatJ:
      (state.sums[slot.windingLossJ] ?? 0) +
      (state.sums[slot.noLoadLossJ] ?? 0) +
      runs.reduce((sum, r) => sum + r.brakeHeatJ, 0),
    minPackVoltageV: Math.min(...runs.map((r) => r.minPackVoltageV)),
    peakMotorCurrentA: Math.max(...runs.map((r) => r.peakMotorCurrentA)),
    peakMotorRpm: Math.max(...runs.map((r) => r.peakMotorRpm)),
    passes,
  }
}
