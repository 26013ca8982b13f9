import { assignChannels } from './assign-channels'
import type { ChargeInstance, FactId } from './charge-instance'
import { chargeInstance } from './charge-instance'
import { chargeModel } from './charge-model'
import { ChargeSearch } from './charge-search'
import type { ChargePlan, ChargePlanInput, ChargePlanOutcome, GoalProof, PlannedUse } from './charge-types'
import { defaultGoals } from './charge-types'
import { goalValues } from './goal-values'
import type { MilpSolver } from '../solver/milp'
import type { Chosen } from './timing'

export interface SolveOptions {
  /** For the whole plan. */
  timeLimitSeconds: number
  /** Facts set aside (see `FactId`), for asking what if. */
  dropped?: ReadonlySet<FactId>
}

/**
 * Solves the charge plan. The goals are met strictly in their order, and every goal counts in whole units, so
 * `proven` says exactly: no plan is better in this order. When time runs out the best plan found comes with the bound
 * that each goal could still reach.
 *
 * @example
 * solveChargePlan(input, highsSolver(await loadHighs()), { timeLimitSeconds: 20 })
 */
export function solveChargePlan(
  input: ChargePlanInput,
  solver: MilpSolver,
  options: SolveOptions,
): ChargePlanOutcome {
  const begin = performance.now()
  const instance = chargeInstance(input, options.dropped)
  const goals = input.goals ?? defaultGoals
  const found = new ChargeSearch(
    instance,
    chargeModel(instance),
    goals,
    solver,
    begin,
    options.timeLimitSeconds,
  ).run()
  const seconds = (performance.now() - begin) / 1000
  return found.kind === 'found'
    ? { kind: 'planned', plan: asPlan(instance, found.chosen, found.proof), seconds }
    : { kind: found.kind, seconds }
}

/** Whether any plan exists at all, with the facts given set aside; null when time ran out. */
export function planExists(
  input: ChargePlanInput,
  solver: MilpSolver,
  dropped: ReadonlySet<FactId>,
  timeLimitSeconds: number,
): boolean | null {
  const instance = chargeInstance(input, dropped)
  const search = new ChargeSearch(
    instance,
    chargeModel(instance),
    [],
    solver,
    performance.now(),
    timeLimitSeconds,
  )
  const found = search.run()
  return found.kind === 'undecided' ? null : found.kind === 'found'
}

function asPlan(instance: ChargeInstance, chosen: readonly Chosen[], proof: GoalProof[]): ChargePlan {
  const channels = assignChannels(
    instance,
    chosen.flatMap((c) => (c.charge ? [c.charge] : [])),
  )
  const order = new Map(instance.runs.map((r, i) => [r.run.id, i]))
  const uses = chosen
    .map(({ use, charge }): PlannedUse => ({
      runId: use.run.run.id,
      packId: use.pack.pack.id,
      charge: charge && {
        channelId: channels.get(use.run) ?? '',
        startAt: charge.start * instance.stepMs,
        endAt: (charge.start + charge.option.steps) * instance.stepMs,
        amps: charge.option.amps,
        watts: charge.option.watts,
      },
    }))
    .sort((a, b) => (order.get(a.runId) ?? 0) - (order.get(b.runId) ?? 0))
  const used = new Set(uses.map((u) => u.packId))
  return {
    uses,
    values: goalValues(instance.input, uses),
    proof,
    proven: proof.every((p) => p.proven),
    afterDay: instance.packs
      .filter((p) => used.has(p.pack.id) || p.pack.state === 'full')
      .map((p) => ({ packId: p.pack.id, need: used.has(p.pack.id) ? 'charge' : 'discharge' })),
  }
}
