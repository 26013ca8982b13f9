import { UNMOVED_STEPS } from './charge-instance'
import type { ChargePlanInput, ChargePlanOutcome, Pin, PlannedUse } from './charge-types'
import { replanGoals } from './charge-types'
import type { MilpSolver } from '../solver/milp'
import type { SolveOptions } from './solve-charge-plan'
import { solveChargePlan } from './solve-charge-plan'

/**
 * Solves a day that has moved, keeping what it can of the plan that people know: the number of changed packs and moved
 * charges comes first among the goals, unless the input names others.
 */
export function replan(
  previous: readonly PlannedUse[],
  input: ChargePlanInput,
  solver: MilpSolver,
  options: SolveOptions,
): ChargePlanOutcome {
  return solveChargePlan(
    { ...input, known: [...previous], goals: input.goals ?? replanGoals },
    solver,
    options,
  )
}

export type DifferenceKind =
  'pack' | 'moved' | 'channel' | 'current' | 'charged' | 'uncharged' | 'added' | 'removed'

/** One difference between two plans, for one run. */
export interface PlanDifference {
  runId: string
  kinds: DifferenceKind[]
  before: PlannedUse | null
  after: PlannedUse | null
  words: string
}

/**
 * What a person who knows the old plan must be told, run by run in order of time. A charge that begins within two
 * steps of the known time has not moved.
 */
export function planDifferences(
  before: readonly PlannedUse[],
  after: readonly PlannedUse[],
  input: ChargePlanInput,
  timeOfDay: (ms: number) => string = (ms) => new Date(ms).toISOString().slice(11, 16),
): PlanDifference[] {
  const packLabel = (id: string): string =>
    input.packs.find((p) => p.id === id)?.label ?? 'a pack that is out of use'
  const channelLabel = (id: string): string => input.channels.find((c) => c.id === id)?.label ?? id
  const order = new Map(input.runs.map((r) => [r.id, r.readyBy]))
  const runIds = [...new Set([...after, ...before].map((u) => u.runId))].sort(
    (a, b) => (order.get(a) ?? -Infinity) - (order.get(b) ?? -Infinity),
  )
  const tolerance = UNMOVED_STEPS * input.rules.stepSeconds * 1000
  const differences: PlanDifference[] = []
  for (const runId of runIds) {
    const old = before.find((u) => u.runId === runId) ?? null
    const now = after.find((u) => u.runId === runId) ?? null
    const kinds: DifferenceKind[] = []
    const parts: string[] = []
    if (!old && now) {
      kinds.push('added')
      parts.push(`new, on ${packLabel(now.packId)}`)
    } else if (old && !now) {
      kinds.push('removed')
      parts.push('no longer planned')
    } else if (old && now) {
      if (old.packId !== now.packId) {
        kinds.push('pack')
        parts.push(`${packLabel(now.packId)} instead of ${packLabel(old.packId)}`)
      }
      const [a, b] = [old.charge, now.charge]
      if (!a && b) {
        kinds.push('charged')
        parts.push(`charge from ${timeOfDay(b.startAt)} on ${channelLabel(b.channelId)}`)
      } else if (a && !b) {
        kinds.push('uncharged')
        parts.push('no charge, the pack is full')
      } else if (a && b) {
        if (Math.abs(a.startAt - b.startAt) > tolerance) {
          kinds.push('moved')
          parts.push(`charge from ${timeOfDay(b.startAt)} instead of ${timeOfDay(a.startAt)}`)
        }
        if (a.channelId !== b.channelId) {
          kinds.push('channel')
          parts.push(`on ${channelLabel(b.channelId)} instead of ${channelLabel(a.channelId)}`)
        }
        if (a.amps !== b.amps) {
          kinds.push('current')
          parts.push(`at ${b.amps} A instead of ${a.amps} A`)
        }
      }
    }
    if (kinds.length === 0) continue
    const label = input.runs.find((r) => r.id === runId)?.label ?? runId
    differences.push({ runId, kinds, before: old, after: now, words: `${label}: ${parts.join(', ')}` })
  }
  return differences
}

/**
 * Takes some runs' parts of a proposal and solves the rest again around them: accepted ones are pinned to their pack
 * and start, everything else keeps to what people know as far as it can. Accepting all gives the proposal's packs and
 * times; accepting none gives a plan closest to the known one.
 */
export function acceptParts(
  known: readonly PlannedUse[],
  proposal: readonly PlannedUse[],
  acceptedRunIds: readonly string[],
  input: ChargePlanInput,
  solver: MilpSolver,
  options: SolveOptions,
): ChargePlanOutcome {
  const accepted = proposal.filter((u) => acceptedRunIds.includes(u.runId))
  const pins: Pin[] = accepted.map((u) => ({
    id: `accepted-${u.runId}`,
    runId: u.runId,
    packId: u.packId,
    ...(u.charge && { startAt: u.charge.startAt }),
  }))
  const kept = known.filter((u) => !acceptedRunIds.includes(u.runId))
  return replan([...kept, ...accepted], { ...input, pins: [...input.pins, ...pins] }, solver, options)
}
