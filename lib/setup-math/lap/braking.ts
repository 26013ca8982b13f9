/**
 * Braking at a deceleration A + B v² (brakes at their share of the grip, rolling, drag), in closed form:
 * d(v²)/dx = -2 (A + B v²). In a corner the grip that cornering takes makes B negative.
 */
export interface BrakingLaw {
  /** m/s². */
  a: number
  /** 1/m. */
  b: number
}

/** Speed² from which the car just reaches `exitSpeed2` over `distanceM`. */
export function brakingSpeed2(law: BrakingLaw, exitSpeed2: number, distanceM: number): number {
  const z = 2 * law.b * distanceM
  const growth = Math.abs(z) < 1e-12 ? 2 * distanceM : Math.expm1(Math.min(z, 700)) / law.b
  return exitSpeed2 + (law.a + law.b * exitSpeed2) * growth
}

/** Seconds from v0 down to v1 (v1 ≤ v0): the integral of dv / (A + B v²). */
export function brakingTime({ a, b }: BrakingLaw, v0: number, v1: number): number {
  const root = Math.sqrt(Math.abs(b) / a)
  if (root * v0 < 1e-4) {
    // Series for a B next to nothing, where the closed forms divide 0 by 0.
    return (v0 - v1) / a - (b * (v0 ** 3 - v1 ** 3)) / (3 * a * a)
  }
  // At 1 the deceleration is nothing, and the time without end: a corner's limit is neared, never held, on the brakes.
  const f = b > 0 ? Math.atan : (x: number) => Math.atanh(Math.min(x, 1 - 1e-15))
  return (f(root * v0) - f(root * v1)) / (a * root)
}
