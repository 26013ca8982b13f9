import { parametersOf, type BoardView, type CardParameter, type Quantity } from '../board'
import { cardRow, type InputId, type ProjectionBasis } from '../card'

/** One value of a card that could be another. */
export interface Change {
  parameterId: string
  label: string
  unit: string
  from: number
  to: number
  /** The same as inputs of the projection. */
  inputs: { id: InputId; value: number }[]
  /** Makes the motor hotter by itself, or takes away what keeps it cool. */
  caution: 'can' | null
}

/**
 * Teeth from today's pinion. A longer gear makes the motor hotter, so it is taken in small steps with the can read in between: two teeth at most.
 * Common practice, no source.
 */
export const PINION_REACH = [-6, -5, -4, -3, -2, -1, 1, 2] as const

/** How far from today's value is looked, in steps; common practice, no source. What protects the pack and what the controller was calibrated with is never touched. */
const BY_PARAMETER: Readonly<Record<string, { id: InputId; step: number; reach: readonly number[] }>> = {
  pinion: { id: 'pinion', step: 1, reach: PINION_REACH },
  motorTiming: { id: 'motorTimingDeg', step: 2, reach: [-4, -2, -1, 1, 2, 4] },
}
const BY_QUANTITY: Partial<Record<Quantity, InputId>> = {
  boostTiming: 'boostDeg',
  turboTiming: 'turboDeg',
  turboDelay: 'turboDelayS',
}
/** A speed control's own steps are often fine: this share of its range is at least one. */
const LEAST_SHARE = 0.05
const REACH = [-3, -2, -1, 1, 2, 3] as const

/** Everything on a card that the simulator knows and the team may turn, within its ranges and on its steps. */
export function changesOf(view: BoardView, carId: string, basis: ProjectionBasis): Change[] {
  const out: Change[] = []
  for (const p of parametersOf(view, carId)) {
    const row = cardRow(view, carId, p)
    const from = row.assigned ?? row.fitted
    if (typeof from !== 'number') continue
    const own = BY_PARAMETER[p.id]
    const id = own?.id ?? (p.quantity && BY_QUANTITY[p.quantity])
    if (!id || !basis.inputs.some((i) => i.id === id)) continue
    // Dynamic timing where the class forbids it is the rule's business, not a suggestion's.
    if (!own && basis.limits.dynamicTimingAllowed === false) continue
    const step = own?.step ?? stepOf(p)
    const scale = p.quantity && p.quantity !== 'none' ? (p.scale ?? 1) : 1
    for (const n of own?.reach ?? REACH) {
      const to = tidy(from + n * step)
      if (to < (p.min ?? -Infinity) || to > (p.max ?? Infinity)) continue
      out.push({
        parameterId: p.id,
        label: p.label,
        unit: p.unit,
        from,
        to,
        inputs: [{ id, value: to * scale }],
        caution: (id === 'turboDelayS' ? to < from : to > from) ? 'can' : null,
      })
    }
  }
  return out
}

function stepOf(p: CardParameter): number {
  const step = p.step && p.step > 0 ? p.step : 1
  const range = p.min !== undefined && p.max !== undefined ? p.max - p.min : 0
  return step * Math.max(1, Math.round((LEAST_SHARE * range) / step))
}

const tidy = (x: number): number => Number(x.toPrecision(10))
