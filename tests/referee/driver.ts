import { cellOf, type Path } from './path'

/** A person at the radio. */
export interface Driver {
  /** Share of the grip that the plan uses in corners and on the brakes. */
  nerve: number
  brakeNerve: number
  /** Time constants of hand and servo, s. */
  triggerLagS: number
  steerLagS: number
  /** Spread of the corner speed from lap to lap, share; and of the braking point, s. */
  uneven: number
  lateS: number
  /** Trigger that stays shut while the car still turns, 0 (none) to 1. */
  caution: number
  /** Slip over the peak's at which the trigger is eased. */
  slipTaken: number
  /** Steering against a tail that comes round, rad per rad of its slip angle beyond `tailTaken` of the peak's. */
  catches: number
  tailTaken: number
}

/** Speeds to be driven, m/s, on the path's grid. */
export function speedPlan(
  path: Path,
  driver: Driver,
  car: { mu: number; topMps: number; brakeShare: number },
): Float64Array {
  const n = path.curvature.length
  const g = 9.81
  const plan = new Float64Array(n).fill(car.topMps)
  for (let i = 0; i < n; i++) {
    const k = Math.abs(path.curvature[i] as number)
    const mu = car.mu * (path.grip[i] as number) * (path.load[i] as number) * driver.nerve
    if (k > 1e-4) plan[i] = Math.min(car.topMps, Math.sqrt((mu * g) / k))
  }
  for (let pass = 0; pass < 2; pass++) {
    for (let i = n - 1; i >= 0; i--) {
      const next = plan[(i + 1) % n] as number
      const k = Math.abs(path.curvature[i] as number)
      // Nobody plans to brake in the air.
      const grip = car.mu * (path.grip[i] as number) * Math.max(0.05, path.load[i] as number) * g
      const turning = Math.min(0.98, (next * next * k) / (grip * driver.nerve))
      const slows = grip * car.brakeShare * driver.brakeNerve * Math.sqrt(1 - turning * turning)
      plan[i] = Math.min(plan[i] as number, Math.sqrt(next * next + 2 * slows * path.stepM))
    }
  }
  return plan
}

export interface Wish {
  trigger: number
  steer: number
}

/**
 * What the driver asks for: speed by the plan ahead, the trigger held back while the car turns and eased where the wheels spin; steering by the curvature ahead
 * and by how far off the line the car is and points.
 */
export function wishOf(
  path: Path,
  plan: Float64Array,
  driver: Driver,
  lap: { pace: number; lateS: number },
  now: {
    s: number
    n: number
    psi: number
    vx: number
    vy: number
    yawRate: number
    use: number
    turning: number
    /** Slip angle of the rear over the peak's: negative in a left turn. */
    tail: number
    tailPeak: number
  },
  wheelbaseM: number,
  understeerS2: number,
  out: Wish,
): void {
  const { vx } = now
  const ahead = plan[cellOf(path, now.s + vx * (driver.triggerLagS - lap.lateS))] as number
  const error = ahead * lap.pace - vx
  let trigger = error > 0 ? Math.min(1, 0.2 + 1.6 * error) : Math.max(-1, 0.7 * error)
  if (trigger > 0) {
    trigger *= 1 - driver.caution * Math.min(1, now.turning)
    const over = now.use - driver.slipTaken
    if (over > 0) trigger *= Math.max(0, 1 - 3 * over)
  } else {
    // Who still brakes where the car turns gives the rear nothing to hold with.
    trigger *= 1 - 0.5 * Math.min(1, now.turning)
    const over = now.use - driver.slipTaken
    if (over > 0) trigger *= Math.max(0, 1 - 3 * over)
  }
  // A tail that comes round: whoever drives lets go of the trigger and steers into the slide.
  const tail = Math.abs(now.tail) - driver.tailTaken
  if (tail > 0) trigger *= Math.max(0, 1 - tail)
  out.trigger = trigger
  const reach = 0.35 + vx * (0.05 + driver.steerLagS)
  const curvature = path.curvature[cellOf(path, now.s + vx * driver.steerLagS)] as number
  // Where the car goes, not where it points: a sliding tail is caught by it.
  const course = now.psi + Math.atan2(now.vy, Math.max(1, vx))
  const off = now.n + course * reach
  const steer =
    (wheelbaseM + understeerS2 * vx * vx) * curvature -
    (0.9 * wheelbaseM * off) / (reach * reach) -
    0.12 * (now.yawRate - vx * curvature) +
    (tail > 0 ? driver.catches * Math.sign(now.tail) * tail * now.tailPeak : 0)
  out.steer = Math.min(0.5, Math.max(-0.5, steer))
}
