import type { Refusal } from '@/lib/core/result'
import { convert, RangeProblem, type UnitName } from '@/lib/setup-math'
import { refusalOf } from './calculator'

export interface Conversion {
  value: number | null
  from: UnitName
  to: UnitName
}

/** A conversion as it is being typed: the value, or what is wrong with the question. */
export function converted({
  value,
  from,
  to,
}: Conversion): { ok: true; value: number } | { ok: false; error: Refusal | string } {
  if (value === null) return { ok: false, error: 'Needs a value.' }
  try {
    return { ok: true, value: convert(value, from, to) }
  } catch (error) {
    if (!(error instanceof RangeProblem)) throw error
    return { ok: false, error: refusalOf(error, error.field === 'value' ? 'Value' : 'Unit') }
  }
}
