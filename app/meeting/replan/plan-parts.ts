import type { BoardView, PlannedPack } from '@/lib/board'
import { asPlannedPack, type RunInfo } from '@/lib/card'
import type { ChargePlan } from '@/lib/planner'

/** One run's part of a proposed plan, beside what the board holds now. */
export interface PlanPart {
  runId: string
  run: RunInfo | undefined
  proposed: PlannedPack
  /** What differs from the board, in words; empty when the part is already taken. */
  differences: string[]
}

/** A charge that moved by less than this is not news. */
const SAME_MS = 60_000

export function planParts(
  view: BoardView,
  runs: readonly RunInfo[],
  plan: ChargePlan,
  timeText: (at: number) => string,
): PlanPart[] {
  return plan.uses.map((use) => {
    const proposed = asPlannedPack(use)
    const run = runs.find((r) => r.runId === use.runId)
    const now = view.runs.get(use.runId)?.packId?.v ?? null
    const label = (id: string | null) => (id ? (view.packs.get(id)?.label ?? '?') : 'no pack')
    const differences: string[] = []
    if (now !== use.packId) differences.push(`${label(use.packId)} instead of ${label(now)}`)
    const known = view.charges.get(use.runId)
    const held = known && !known.removed && !known.stoppedAt?.v ? known : undefined
    const charge = proposed.charge
    if (charge) {
      const where = `${view.chargers.get(charge.chargerId)?.label ?? 'charger'} channel ${charge.channel}`
      if (!held || held.packId !== use.packId)
        differences.push(
          `charge ${timeText(charge.startAt)} to ${timeText(charge.endAt)} on ${where} at ${charge.currentA} A`,
        )
      else {
        if (held.chargerId !== charge.chargerId || held.channel !== charge.channel)
          differences.push(`on ${where}`)
        if (Math.abs((held.plannedStart ?? 0) - charge.startAt) > SAME_MS)
          differences.push(
            `charge from ${timeText(charge.startAt)} instead of ${held.plannedStart ? timeText(held.plannedStart) : 'no time'}`,
          )
        if (held.currentA !== charge.currentA)
          differences.push(`at ${charge.currentA} A instead of ${held.currentA ?? '?'} A`)
      }
    } else if (held && !held.startedAt?.v) differences.push('no charge needed, it is full')
    return { runId: use.runId, run, proposed, differences }
  })
}
