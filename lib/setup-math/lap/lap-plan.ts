import { g } from '../constants'
import { RangeProblem } from '../range-problem'
import { checkTrack, segmentLength, type Track } from '../track/track'
import { brakingSpeed2 } from './braking'
import type { PreparedCar } from './prepared-car'
import type { SegmentTask } from './segment-task'

/** The tasks of a lap with their speed limits, and the highest speed at which the lap may begin. */
export interface LapPlan {
  tasks: SegmentTask[]
  startLimitMps: number
}

/**
 * Corner speeds sqrt(mu g R) (circular motion at the friction limit) or as measured, and, backwards round the lap, the speed that
 * each segment may hand on so that braking still reaches the next limit. In a corner the grip left for braking and drive falls
 * in a straight line with v²/v_c² (the chord of the friction circle: never more than the circle allows; our simplification).
 * @throws RangeProblem
 */
export function planLap(car: PreparedCar, track: Track): LapPlan {
  const { segments } = checkTrack(track)
  const tasks = segments.map((s, i): SegmentTask => {
    const mu = car.car.grip * (s.grip ?? 1)
    const corner = s.kind === 'corner'
    const cornerSpeedMps = corner ? (s.measuredSpeedMps ?? Math.sqrt(mu * g * s.radiusM)) : Infinity
    const brakes = (mu * car.brakeShare * car.weightN) / car.contactKg
    const lengthM = segmentLength(s)
    if (!(mu > 0 && Number.isFinite(mu) && lengthM > 0))
      throw new RangeProblem(`track.segments[${i}].grip`, s.grip, 'a usable grip factor')
    return {
      lengthM,
      mu,
      cornerSpeedMps,
      exitSpeedLimitMps: Infinity,
      braking: {
        a: brakes + car.rollingN / car.contactKg,
        b: car.dragPerSpeed2 / car.contactKg - (corner ? brakes / cornerSpeedMps ** 2 : 0),
      },
    }
  })
  const entryLimit = tasks.map((t) => t.cornerSpeedMps)
  // Twice round is enough for most laps; a limit can be handed on across every segment once.
  for (let pass = 0, changed = true; changed && pass < tasks.length + 2; pass++) {
    changed = false
    for (let i = tasks.length - 1; i >= 0; i--) {
      const task = tasks[i] as SegmentTask
      const exit = Math.min(task.cornerSpeedMps, entryLimit[(i + 1) % tasks.length] as number)
      if (exit < task.exitSpeedLimitMps) {
        task.exitSpeedLimitMps = exit
        changed = true
      }
      if (!Number.isFinite(task.exitSpeedLimitMps)) continue
      const entry = Math.sqrt(brakingSpeed2(task.braking, task.exitSpeedLimitMps ** 2, task.lengthM))
      if (entry < (entryLimit[i] as number)) {
        entryLimit[i] = entry
        changed = true
      }
    }
  }
  return { tasks, startLimitMps: entryLimit[0] ?? Infinity }
}
