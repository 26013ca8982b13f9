import { checkNumber, checkObject } from '../check-number'
import type { Car } from '../lap/car'
import type { TracePoint } from '../lap/drive-result'
import { planLap, type LapPlan } from '../lap/lap-plan'
import { prepareCar, type PreparedCar } from '../lap/prepared-car'
import { startState, type RunState } from '../lap/run-state'
import { SegmentDriver, usualDriveSettings, type DriveSettings } from '../lap/segment-driver'
import { absent, isAbsent, type Maybe } from '../maybe'
import { restVoltage } from '../pack/rest-voltage'
import { slowSagAfter } from '../pack/slow-sag'
import type { Track } from '../track/track'

export interface RaceEnd {
  laps: number
  finishSeconds: number
  /** Why the car stopped on the track; absent when it finished. */
  stopped: Maybe<{ reason: string; atS: number; onLap: number }>
}

export interface RaceRun extends RaceEnd {
  lapSeconds: number[]
  chargeUsedAh: number
  chargeLeftAh: number
  stateOfChargeLeft: number
  /** Rested for a minute after the finish: the cells' own voltage less what is left of the slow sag. */
  endVoltsPerCell: number
  minPackVoltageV: number
  minVoltsPerCell: number
  /** Absent when the motor's thermal data is not known. */
  canC: Maybe<number>
  windingC: Maybe<number>
  peakWindingC: Maybe<number>
  /** The same race with the cutoff on: it ends where the voltage under load first falls to the cutoff. Absent when none is set. */
  withCutoff: Maybe<RaceEnd & { marginVoltsPerCell: number }>
}

/** A pack is read a minute after the run. */
const restS = 60
const finished = absent('the car reaches the finish')
const mostLaps = 2000

/**
 * A race from a standing start at the first segment: the lap that is under way when time runs out is driven to its end. Charge, sag and
 * temperatures carry from lap to lap. The main figures are with the cutoff off: a pack that is run below its floor is damaged and can
 * burn later, so read them beside `withCutoff`. That a cutoff ends the race is common practice, no source (controllers ease the
 * drive first).
 * @throws RangeProblem
 */
export function simulateRace(
  car: Car,
  track: Track,
  race: { raceSeconds: number; standingStart?: boolean },
  settings: DriveSettings = usualDriveSettings,
): Maybe<RaceRun> {
  checkObject('race', race)
  const raceSeconds = checkNumber('raceSeconds', race.raceSeconds, { min: 1, max: 86_400, unit: 's' })
  const prepared = prepareCar(car)
  const plan = planLap(prepared, track)
  const driver = new SegmentDriver(prepared, settings)
  const state = startState(prepared, race.standingStart === false ? Math.min(plan.startLimitMps, 300) : 0)
  const lapSeconds: number[] = []
  let timeS = 0
  let minPackVoltageV = Infinity
  let peakWindingC = state.windingC
  let stopped: RaceEnd['stopped'] = finished
  let cutoff: RaceEnd | undefined

  driving: while (timeS < raceSeconds && lapSeconds.length < mostLaps) {
    const lapStart = timeS
    for (const task of plan.tasks) {
      const before = { ...state, sums: state.sums.slice(), slowV: state.slowV.slice() }
      const run = driver.drive(task, state)
      if (isAbsent(run)) {
        stopped = { reason: run.reason, atS: timeS, onLap: lapSeconds.length + 1 }
        break driving
      }
      if (!cutoff && prepared.cutoffV > 0 && run.minPackVoltageV < prepared.cutoffV) {
        const atS = timeS + cutoffTime(driver, task, before, prepared.cutoffV)
        const onLap = lapSeconds.length + 1
        const reason = 'the low-voltage cutoff acts'
        cutoff = { laps: onLap - 1, finishSeconds: lapStart, stopped: { reason, atS, onLap } }
      }
      timeS += run.timeS
      minPackVoltageV = Math.min(minPackVoltageV, run.minPackVoltageV)
      peakWindingC = Math.max(peakWindingC, state.windingC)
    }
    lapSeconds.push(timeS - lapStart)
  }
  if (lapSeconds.length === 0 && !isAbsent(stopped)) return absent(stopped.reason)
  const end: RaceEnd = {
    laps: lapSeconds.length,
    finishSeconds: lapSeconds.reduce((a, b) => a + b, 0),
    stopped,
  }
  return { ...end, lapSeconds, ...describeEnd(prepared, state, minPackVoltageV, peakWindingC, cutoff ?? end) }
}

function describeEnd(
  car: PreparedCar,
  state: RunState,
  minPackVoltageV: number,
  peakWindingC: number,
  cutoff: RaceEnd,
) {
  const stateOfChargeLeft = Math.min(
    car.socTable.at(-1) ?? 1,
    Math.max(car.socTable[0] ?? 0, car.startSoc - state.drawnC / car.coulombs),
  )
  const unknown = absent('the motor’s thermal data is not known')
  return {
    chargeUsedAh: state.drawnC / 3600,
    chargeLeftAh: ((stateOfChargeLeft - (car.socTable[0] ?? 0)) * car.coulombs) / 3600,
    stateOfChargeLeft,
    endVoltsPerCell:
      restVoltage(car.car.pack.restVoltageTable, stateOfChargeLeft) -
      car.slowSag.reduce((sum, pair, i) => sum + slowSagAfter(pair, state.slowV[i] ?? 0, 0, restS), 0) /
        car.cells,
    minPackVoltageV,
    minVoltsPerCell: minPackVoltageV / car.cells,
    canC: car.thermal ? state.canC : unknown,
    windingC: car.thermal ? state.windingC : unknown,
    peakWindingC: car.thermal ? peakWindingC : unknown,
    withCutoff:
      car.cutoffV > 0
        ? { ...cutoff, marginVoltsPerCell: (minPackVoltageV - car.cutoffV) / car.cells }
        : absent('no cutoff is set'),
  }
}

/** Seconds into a segment at which the voltage under load first falls to the cutoff, read off its trace. */
function cutoffTime(
  driver: SegmentDriver,
  task: LapPlan['tasks'][number],
  before: RunState,
  cutoffV: number,
): number {
  const points: TracePoint[] = []
  driver.drive(task, before, { points, timeS: 0, fromM: 0 })
  const i = points.findIndex((p) => p.packVoltageV < cutoffV)
  const [a, b] = [points[i - 1], points[i]]
  if (!b) return 0
  if (!a || a.packVoltageV <= b.packVoltageV) return b.timeS
  return a.timeS + ((b.timeS - a.timeS) * (a.packVoltageV - cutoffV)) / (a.packVoltageV - b.packVoltageV)
}
