import { brakingSpeed2, brakingTime, type BrakingLaw } from './braking'

/** A way of braking to a segment's end: speed² over the way that is left, and the time for it. */
export interface BrakingCurve {
  speed2(leftM: number): number
  /** Seconds from a place on the curve to the end; `from` is the speed there. */
  seconds(leftM: number, from: number): number
}

/** At a deceleration A + B v², in closed form. */
export function closedCurve(law: BrakingLaw, exitMps: number): BrakingCurve {
  const exit2 = exitMps * exitMps
  return {
    speed2: (leftM) => brakingSpeed2(law, exit2, leftM),
    seconds: (_left, from) => brakingTime(law, from, Math.min(from, exitMps)),
  }
}

/** Steps of the table; between them a cubic that keeps the slopes. */
const steps = 24
/** Three points of Gauss and Legendre on 0..1 (Abramowitz, Stegun 25.4.30). */
export const gaussPoints = [
  [0.5 - Math.sqrt(0.15), 5 / 18],
  [0.5, 4 / 9],
  [0.5 + Math.sqrt(0.15), 5 / 18],
] as const

/**
 * At a deceleration that depends on speed in any way, by the classic Runge-Kutta scheme over the distance, backwards from the end: d(v²)/dx = 2 a(v²).
 * The table is the curve that is driven, so its own error is a matter of the brake's evenness, not of the books.
 */
export function tabledCurve(
  deceleration: (speed2: number) => number,
  exitMps: number,
  lengthM: number,
): BrakingCurve {
  const h = lengthM / steps
  // Plain arrays: typed ones of this size live outside of the young heap, and a lap makes a dozen.
  const y: number[] = []
  const slope: number[] = []
  for (let i = 0, at = exitMps * exitMps; ; i++) {
    const k1 = 2 * deceleration(at)
    y.push(at)
    slope.push(k1)
    if (i === steps) break
    const k2 = 2 * deceleration(at + (h / 2) * k1)
    const k3 = 2 * deceleration(at + (h / 2) * k2)
    const k4 = 2 * deceleration(at + h * k3)
    at += (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4)
  }
  const speed2 = (leftM: number): number => {
    const x = Math.max(0, leftM) / h
    const i = Math.min(steps - 1, Math.floor(x))
    const t = x - i
    const [a, b] = [y[i] as number, y[i + 1] as number]
    const [p, q] = [(slope[i] as number) * h, (slope[i + 1] as number) * h]
    return a + t * (p + t * (3 * (b - a) - 2 * p - q + t * (2 * (a - b) + p + q)))
  }
  return {
    speed2,
    seconds: (leftM) => {
      let sum = 0
      const parts = 8
      for (let k = 0; k < parts; k++)
        for (const [at, weight] of gaussPoints)
          sum += (weight * leftM) / parts / Math.sqrt(Math.max(1e-12, speed2(((k + at) * leftM) / parts)))
      return sum
    },
  }
}
