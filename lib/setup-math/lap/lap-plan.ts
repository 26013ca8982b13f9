import { g } from '../constants'
import { bumpForceN } from '../losses/bumps'
import { jumpForceN } from '../losses/jumps'
import { RangeProblem } from '../range-problem'
import { checkTrack, segmentLength, type Segment, type Track } from '../track/track'
import { closedCurve, tabledCurve, type BrakingCurve } from './braking-curve'
import type { PreparedCar } from './prepared-car'
import { noResistance, resistanceAt } from './resistance'
import type { SegmentTask } from './segment-task'

/** The tasks of a lap with their speed limits, and the highest speed at which the lap may begin. */
export interface LapPlan {
  tasks: SegmentTask[]
  startLimitMps: number
}

/** Least share of the circle that holding a corner's speed takes: keeps the circle's slope finite at its end. */
const leastHold = 0.02
const notBraking: BrakingCurve = { speed2: () => Infinity, seconds: () => 0 }

/**
 * Corner speeds sqrt(mu g R) (circular motion at the friction limit, downforce added to the load) or as measured, and, backwards round the lap, the speed
 * that each segment may hand on so that braking still reaches the next limit. In a corner brakes and drive have what the friction circle leaves.
 * @throws RangeProblem
 */
export function planLap(car: PreparedCar, track: Track): LapPlan {
  const { segments } = checkTrack(track)
  const tasks = segments.map((s, i) => taskOf(car, track, s, i))
  const entryLimit = tasks.map((t) => t.cornerSpeedMps)
  // Twice round is enough for most laps; a limit can be handed on across every segment once.
  for (let pass = 0, changed = true; changed && pass < tasks.length + 2; pass++) {
    changed = false
    for (let i = tasks.length - 1; i >= 0; i--) {
      const task = tasks[i] as SegmentTask
      const exit = Math.min(task.cornerSpeedMps, entryLimit[(i + 1) % tasks.length] as number)
      if (exit < task.exitSpeedLimitMps) {
        task.exitSpeedLimitMps = exit
        task.braking = brakingTo(car, task, exit)
        changed = true
      }
      if (!Number.isFinite(task.exitSpeedLimitMps)) continue
      const entry = Math.sqrt(task.braking.speed2(task.lengthM))
      if (entry < (entryLimit[i] as number)) {
        entryLimit[i] = entry
        changed = true
      }
    }
  }
  return { tasks, startLimitMps: entryLimit[0] ?? Infinity }
}

function taskOf(car: PreparedCar, track: Track, s: Segment, i: number): SegmentTask {
  const mu = car.car.grip * (s.grip ?? 1)
  const corner = s.kind === 'corner'
  const lengthM = segmentLength(s)
  if (!(mu > 0 && Number.isFinite(mu) && lengthM > 0))
    throw new RangeProblem(`track.segments[${i}].grip`, s.grip, 'a usable grip factor')
  // v² = mu R (g + L v²/m): downforce raises the limit, at most by half here.
  const presses = corner ? Math.min(1 / 3, (mu * s.radiusM * car.liftPerSpeed2) / car.massKg) : 0
  const task: SegmentTask = {
    lengthM,
    mu,
    cornerSpeedMps: corner
      ? (s.measuredSpeedMps ?? Math.sqrt((mu * g * s.radiusM) / (1 - presses)))
      : Infinity,
    radiusM: corner ? s.radiusM : Infinity,
    holdShare: 0,
    bumpsN: bumpForceN(track.roughnessM ?? 0, car.tireRateNPerM) * (s.rough ?? 1),
    jumpN: !corner && s.jumpM ? jumpForceN(car.massKg, s.jumpM, track.jumpReturnedShare ?? 0, lengthM) : 0,
    exitSpeedLimitMps: Infinity,
    braking: notBraking,
  }
  if (corner) {
    const v = task.cornerSpeedMps
    const resists = resistanceAt(car, task, v, noResistance())
    const load = car.drivenLoadN + car.drivenShare * car.liftPerSpeed2 * v * v
    task.holdShare = Math.min(0.9, Math.max(leastHold, resists / (mu * load)))
  }
  return task
}

/** The way of braking to `exit` at the end of a task; closed where the deceleration is A + B v². */
function brakingTo(car: PreparedCar, task: SegmentTask, exit: number): BrakingCurve {
  const perKg = (task.mu * car.brakeShare) / car.contactKg
  const corner = task.cornerSpeedMps !== Infinity
  if (!corner && car.rollingPerSpeed === 0) {
    const brakes = perKg * car.weightN
    return closedCurve(
      {
        a: brakes + (car.rolling * car.weightN + task.bumpsN + task.jumpN) / car.contactKg,
        b: (car.dragPerSpeed2 + car.rolling * car.liftPerSpeed2) / car.contactKg + perKg * car.liftPerSpeed2,
      },
      exit,
    )
  }
  const perCorner2 = corner ? 1 / task.cornerSpeedMps ** 2 : 0
  const parts = noResistance()
  return tabledCurve(
    (speed2) => {
      const use = Math.min(1, speed2 * perCorner2)
      const v = Math.sqrt(Math.max(0, speed2))
      return (
        perKg * (car.weightN + car.liftPerSpeed2 * speed2) * Math.sqrt(1 - use * use) +
        resistanceAt(car, task, v, parts) / car.contactKg
      )
    },
    exit,
    task.lengthM,
  )
}
