import type { Refusal } from '@/lib/core/result'
import { convert, RangeProblem, type UnitName } from '@/lib/setup-math'
import { refusalOf } from './calculator'

export interface Conversion {
  value: number | null
  from: UnitName
  to: UnitName
}

/** What the trade asks for, with what it comes to: 16 oz are a pound of 0.45359237 kg, g = 9.80665 m/s², an inch is 25.4 mm. */
export const UNIT_EXAMPLES: readonly (Conversion & { value: number; is: number })[] = [
  { value: 165, from: 'oz-in', to: 'Nm', is: 1.165156 },
  { value: 180, from: 'F', to: 'C', is: 82.22222 },
  { value: 3.25, from: 'in', to: 'mm', is: 82.55 },
  { value: 4.5, from: 'lb/in', to: 'N/mm', is: 0.7880708 },
]

/** A conversion as it is being typed: the value, or what is wrong with the question. */
export function converted({
  value,
  from,
  to,
}: Conversion): { ok: true; value: number } | { ok: false; error: Refusal | string } {
  if (value === null) return { ok: false, error: 'Enter a value.' }
  try {
    return { ok: true, value: convert(value, from, to) }
  } catch (error) {
    if (!(error instanceof RangeProblem)) throw error
    return { ok: false, error: refusalOf(error, error.field === 'value' ? 'Value' : 'Unit') }
  }
}
