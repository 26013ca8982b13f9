import type { ChargeInstance } from './charge-instance'
import type { ChargeModel } from './charge-model'
import { greedyPlan } from './greedy-plan'
import type { Chosen } from './timing'

/** A greedy plan in the columns of a model, to begin with; null when it fails. */
export function greedyChosen(
  instance: ChargeInstance,
  model: ChargeModel,
  charge: 'late' | 'soon',
): Chosen[] | null {
  const { uses, failed } = greedyPlan(instance.input, { charge })
  if (failed !== null) return null
  const seen = new Set<string>()
  const chosen: Chosen[] = []
  for (const { runId, packId, charge } of uses) {
    const first = !seen.has(packId)
    seen.add(packId)
    const own = model.uses.filter((u) => u.run.run.id === runId && u.pack.pack.id === packId)
    const use =
      charge === null
        ? own.find((u) => u.classKey === null)
        : (own.find((u) => u.classKey !== null && u.first === first) ??
          own.find((u) => u.classKey !== null && !u.first))
    const column =
      charge &&
      model.charges.find(
        (c) =>
          c.run.run.id === runId &&
          c.classKey === use?.classKey &&
          c.group.channelIds.includes(charge.channelId) &&
          c.start * instance.stepMs === charge.startAt &&
          (c.start + c.option.steps) * instance.stepMs === charge.endAt &&
          c.option.amps === charge.amps &&
          c.option.watts === charge.watts,
      )
    if (!use || column === undefined) return null
    chosen.push({ use, charge: column })
  }
  return chosen
}
