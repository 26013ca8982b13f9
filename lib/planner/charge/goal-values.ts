import { UNMOVED_STEPS, chargeInstance, heldSteps, wearBands } from './charge-instance'
import type { ChargePlanInput, GoalValues, PlannedUse } from './charge-types'

/** What a plan costs under each goal; the definitions stand at `GoalValues`. */
export function goalValues(input: ChargePlanInput, uses: readonly PlannedUse[]): GoalValues {
  const instance = chargeInstance(input)
  const bands = wearBands(input.packs)
  const known = new Map(input.known?.map((k) => [k.runId, k]))
  const values: GoalValues = { match: 0, cycles: 0, held: 0, changes: 0 }
  const count = new Map<string, number>()
  for (const use of uses) {
    const run = instance.runs.find((r) => r.run.id === use.runId)
    const pack = instance.packs.find((p) => p.pack.id === use.packId)
    if (!run || !pack) continue
    values.match += run.run.importance * (run.fits.get(use.packId) ?? 0)
    count.set(use.packId, (count.get(use.packId) ?? 0) + 1)
    const end = use.charge ? Math.round(use.charge.endAt / instance.stepMs) : pack.available
    values.held += heldSteps(instance, run, end)
    const before = known.get(use.runId)
    if (!before) continue
    if (before.packId !== use.packId) values.changes += 2
    const moved =
      !before.charge || !use.charge
        ? before.charge !== use.charge
        : Math.abs(before.charge.startAt - use.charge.startAt) > UNMOVED_STEPS * instance.stepMs
    if (moved) values.changes += 1
  }
  for (const [packId, n] of count) {
    const band = bands.get(packId) ?? 0
    values.cycles += (band + n) ** 2 - band ** 2
  }
  return values
}
