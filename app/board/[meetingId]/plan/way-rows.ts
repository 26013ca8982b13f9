import { planDifferences, type ChargePlan, type ChargePlanInput } from '@/lib/planner'

export interface WayRow {
  id: string
  run: string
  pack: string
  charge: string
  /** Against what people know as the plan. */
  change: string
}

/** A tried plan as rows, in order of need: what a way out only imagines (a borrowed pack, another channel) is named as the way names it. */
export function wayRows(
  input: ChargePlanInput,
  plan: ChargePlan,
  timeText: (at: number) => string,
): WayRow[] {
  const differences = planDifferences(input.known ?? [], plan.uses, input, timeText)
  return [...input.runs]
    .sort((a, b) => a.readyBy - b.readyBy)
    .flatMap((run): WayRow[] => {
      const use = plan.uses.find((u) => u.runId === run.id)
      if (!use) return []
      const { charge } = use
      const channel = input.channels.find((c) => c.id === charge?.channelId)?.label ?? ''
      const words = differences.find((d) => d.runId === run.id)?.words
      return [
        {
          id: run.id,
          run: run.label,
          pack: input.packs.find((p) => p.id === use.packId)?.label ?? '?',
          charge: charge
            ? `${timeText(charge.startAt)} to ${timeText(charge.endAt)}, ${channel}, ${charge.amps} A`
            : 'already full',
          change: words ? words.slice(run.label.length + 2) : 'no change',
        },
      ]
    })
}
