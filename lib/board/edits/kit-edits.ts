import { newId } from '../../core/id'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { TireState } from '../kit-collections'
import { runEdit, type EditContext } from '../write-session'

/** No lithium cell in use in the trade is charged above this, V. Common practice, no source; the pack maker's limit is lower for most. */
export const HIGHEST_CELL_V = 4.35

const DAY_MS = 86_400_000

/** A pack's resting voltage as a meter shows it, for the whole pack. */
export function readPackVoltage(
  ctx: EditContext,
  view: BoardView,
  t: { packId: string; volts: number },
): Result<void> {
  return runEdit(ctx, 'pack-voltage', (w) => {
    const pack = view.packs.get(t.packId)
    if (!pack) return refuse('Pack', t.packId, 'is not in the kit', 'Pick a pack from the kit.')
    const highest = pack.cells === undefined ? undefined : pack.cells * HIGHEST_CELL_V
    if (highest !== undefined && t.volts > highest)
      return refuse(
        'Resting voltage',
        `${t.volts} V`,
        `is more than ${pack.cells} cells can hold`,
        `Read it again, or correct the number of cells. ${highest.toFixed(2)} V is the maximum.`,
      )
    w.kit('packs', t.packId, { restVoltageV: w.stamp(t.volts) })
    // What a pack kept while it lay is part of its life.
    const stored = pack.state?.v === 'storage' ? pack.state.at : null
    if (stored !== null && w.at - stored >= DAY_MS)
      w.kit('packReadings', newId(), {
        packId: t.packId,
        taken: w.stamp(w.at),
        restVoltageV: t.volts,
        storedDays: Math.round((w.at - stored) / DAY_MS),
      })
    return ok(undefined)
  })
}

/** Where a tire set is. On a car, it says on which; anywhere else it is on none. */
export function setTireState(
  ctx: EditContext,
  view: BoardView,
  t: { tireSetId: string; state: TireState; carId?: string },
): Result<void> {
  return runEdit(ctx, 'tire-state', (w) => {
    if (!view.tireSets.get(t.tireSetId))
      return refuse('Tire set', t.tireSetId, 'is not in the kit', 'Pick a tire set from the kit.')
    if (t.state === 'on-car' && (!t.carId || !view.cars.get(t.carId)))
      return refuse('On car', t.carId, 'is missing', 'Say which car the set is on.')
    w.kit('tireSets', t.tireSetId, {
      state: w.stamp(t.state),
      onCarId: t.state === 'on-car' ? (t.carId ?? null) : null,
    })
    return ok(undefined)
  })
}
