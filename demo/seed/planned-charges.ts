import { takePlan, type BoardView, type PlannedPack } from '@/lib/board'
import { chargeSeconds } from '@/lib/card'
import { MINUTE, type Act } from './story'

/** As the charge planner's clock has it. */
const STEP = 5 * MINUTE

interface Planned {
  chargerId: string
  channel: number
  /** From now to the start of the charge, minutes. */
  inMinutes: number
}

/** The part of the charge plan for the third round that is still to come: packs that are full a short while before their cars need them. */
const PLANNED: Readonly<Record<string, Planned>> = {
  kestrel: { chargerId: 'charger-a', channel: 1, inMinutes: 35 },
  rook: { chargerId: 'charger-a', channel: 2, inMinutes: 45 },
  curlew: { chargerId: 'charger-a', channel: 3, inMinutes: 55 },
  heron: { chargerId: 'charger-b', channel: 1, inMinutes: 60 },
}

export const isPlanned = (carId: string): boolean => carId in PLANNED

/** Bas took the plan over twenty minutes ago. */
export function plannedCharges(
  base: number,
  runIdOfCar: (carId: string) => string,
  packOfCar: (carId: string) => string,
): Act {
  const part = (view: BoardView, carId: string, { chargerId, channel, inMinutes }: Planned): PlannedPack => {
    const packId = packOfCar(carId)
    const pack = view.packs.get(packId)
    // At 1C, in the planner's steps of half an ampere.
    const currentA = Math.floor(((pack?.capacityMah ?? 6000) / 1000) * 2) / 2
    const seconds = (pack && chargeSeconds(pack, (pack.chargePercent?.v ?? 50) / 100, currentA)) ?? 2400
    const startAt = Math.floor((base + inMinutes * MINUTE) / STEP) * STEP
    const endAt = startAt + Math.ceil((seconds * 1000) / STEP) * STEP
    return { runId: runIdOfCar(carId), packId, charge: { chargerId, channel, currentA, startAt, endAt } }
  }
  return {
    at: base - 20 * MINUTE,
    by: 'bas-verhoef',
    do: (ctx, view) =>
      takePlan(
        ctx,
        view,
        Object.entries(PLANNED).map(([carId, planned]) => part(view, carId, planned)),
      ),
  }
}
