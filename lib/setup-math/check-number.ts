import { RangeProblem } from './range-problem'

export interface NumberLimits {
  min: number
  max: number
  /** The lower limit itself is not allowed. */
  above?: boolean
  /** The upper limit itself is not allowed. */
  below?: boolean
  whole?: boolean
  unit?: string
}

/** Without an exponent: 0.000001, not 1e-6. */
const plain = (x: number): string => x.toLocaleString('en', { maximumFractionDigits: 20, useGrouping: false })

/** Limits in words, as they stand in the message. */
export function limitsText({ min, max, above, below, whole, unit }: NumberLimits): string {
  return `${whole ? 'a whole number ' : ''}${above ? 'above ' : ''}${plain(min)} ${below ? 'to below' : 'to'} ${plain(max)}${!unit ? '' : /^[°%]/.test(unit) ? unit : ` ${unit}`}`
}

/**
 * Returns the number if it lies within the limits.
 * @throws RangeProblem on anything else, `NaN`, infinities and non-numbers included
 */
export function checkNumber(field: string, value: unknown, limits: NumberLimits): number {
  const fits =
    typeof value === 'number' &&
    Number.isFinite(value) &&
    (limits.above ? value > limits.min : value >= limits.min) &&
    (limits.below ? value < limits.max : value <= limits.max) &&
    (!limits.whole || Number.isInteger(value))
  if (!fits) throw new RangeProblem(field, value, limitsText(limits))
  return value
}

/** As `checkNumber`, with a default for a value that is absent (`undefined` or `null`). */
export function checkOptional(
  field: string,
  value: unknown,
  limits: NumberLimits,
  whenAbsent: number,
): number {
  return value === undefined || value === null ? whenAbsent : checkNumber(field, value, limits)
}

/** Checks that a value is an object with named members, for callers without types. @throws RangeProblem */
export function checkObject<T>(field: string, value: T): T {
  if (typeof value !== 'object' || value === null)
    throw new RangeProblem(field, value, 'an object with named values')
  return value
}
