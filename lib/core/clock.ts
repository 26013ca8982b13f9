/** Time comes in from outside, so that tests own it. Milliseconds since the epoch. */
export interface Clock {
  now(): number
}
export const systemClock: Clock = { now: () => Date.now() }
