import type { Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'

/** A range has a lower and an upper end, and a step fits in between. */
export function checkParameterRange(values: Readonly<Record<string, Json>>): Result<void> {
  const { min, max, step } = values
  if (typeof min === 'number' && typeof max === 'number') {
    if (min >= max)
      return refuse('Lowest', min, `is not below the highest, ${max}`, 'Swap the two ends of the range.')
    if (typeof step === 'number' && step > max - min)
      return refuse('Step', step, 'is larger than the range', `Enter up to ${max - min}.`)
  }
  return ok(undefined)
}
