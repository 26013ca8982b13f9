import { unitBehind } from './figure-text'
import { ok, refuse, type Result } from './result'

export interface NumberRange {
  min?: number
  max?: number
  /** Values are multiples of the step, counted from `min` (or 0); left out, any number fits. */
  step?: number
  unit?: string
}

/**
 * A number as somebody typed it. A comma and a point both mean the decimal: phones offer whichever their language has, and reading `3,5` as
 * thirty-five would put the wrong pinion on a card. Grouping is therefore refused.
 *
 * @returns null for blank text.
 */
export function parseNumber(field: string, text: string, range: NumberRange = {}): Result<number | null> {
  const t = text.trim().replace(/[−–]/, '-')
  if (t === '') return ok(null)
  const unit = unitBehind(range.unit)
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(t))
    return refuse(
      field,
      text,
      'is not a number',
      `Enter digits with at most one decimal point or comma, as in 12.5${unit}.`,
    )
  const value = Number(t.replace(',', '.'))
  const { min, max, step } = range
  if ((min !== undefined && value < min) || (max !== undefined && value > max))
    return refuse(field, text, 'is out of range', `Enter ${rangeText(range)}.`)
  if (step !== undefined && step > 0) {
    const steps = (value - (min ?? 0)) / step
    if (Math.abs(steps - Math.round(steps)) > 1e-6)
      return refuse(
        field,
        text,
        `is not a step of ${step}${unit}`,
        `Enter ${near(value, min ?? 0, step)}${unit}.`,
      )
  }
  return ok(value)
}

const near = (value: number, from: number, step: number): string => {
  const low = from + Math.floor((value - from) / step) * step
  return `${tidy(low)} or ${tidy(low + step)}`
}

export function rangeText({ min, max, unit }: NumberRange): string {
  const u = unitBehind(unit)
  if (min !== undefined && max !== undefined) return `a number from ${tidy(min)} to ${tidy(max)}${u}`
  if (min !== undefined) return `${tidy(min)}${u} or more`
  if (max !== undefined) return `${tidy(max)}${u} or less`
  return `a number${u}`
}

/** A bound that no real value comes near says nothing. */
const NO_BOUND = 1e5
/** The range as a hint under a field: `5 to 60 mm`; empty where it would tell nobody anything. */
export function rangeHintText({ min, max, unit }: NumberRange): string {
  if (min === undefined || max === undefined || min <= -NO_BOUND || max >= NO_BOUND) return ''
  return rangeText({ min, max, unit }).replace('a number ', '')
}

/** Without the tail that binary fractions leave behind. */
export const tidy = (value: number): string => String(Number(value.toPrecision(12)))

/** One step up or down, kept in range and on the step's grid. */
export function stepNumber(value: number | null, by: 1 | -1, { min, max, step = 1 }: NumberRange): number {
  const from = min ?? 0
  const next = value === null ? from : from + (Math.round((value - from) / step) + by) * step
  return Number(Math.min(max ?? Infinity, Math.max(min ?? -Infinity, next)).toPrecision(12))
}
