import type { DutyInput, MarshalDuty, TimedJob } from './duty-types'

/** One line of a person's day. */
export interface PersonalItem {
  kind: 'run' | 'marshal' | TimedJob['kind']
  /** Stable over forecasts, so that a calendar entry moves instead of doubling. */
  id: string
  /** When to be there or to begin (ms). */
  from: number
  /** What the list is ordered by (ms): staging for a run or a duty, the latest moment for a job. */
  deadline: number
  /** When it is over (ms). */
  until: number
  heatId: string | null
  carId: string | null
  words: string
}

/** Everything that one person has to do, in order of deadline; equal deadlines by what must begin first. */
export function personalList(
  input: DutyInput,
  duties: readonly MarshalDuty[],
  personId: string,
): PersonalItem[] {
  const lead = input.stagingLeadSeconds * 1000
  const heats = new Map(input.heats.filter((h) => !h.dropped).map((h) => [h.id, h]))
  const items: PersonalItem[] = []
  for (const run of input.runs) {
    const heat = heats.get(run.heatId)
    if (run.personId !== personId || !heat) continue
    items.push({
      kind: 'run',
      id: `run-${heat.id}-${run.carId}`,
      from: heat.expectedStart - lead,
      deadline: heat.expectedStart - lead,
      until: heat.expectedFinish,
      heatId: heat.id,
      carId: run.carId,
      words: `Drive ${heat.label}`,
    })
  }
  for (const duty of duties) {
    const heat = heats.get(duty.heatId)
    if (duty.doneBy !== personId || !heat) continue
    const owner = input.people.find((p) => p.id === duty.owedBy)
    items.push({
      kind: 'marshal',
      id: `marshal-${heat.id}-${duty.owedBy}`,
      from: heat.expectedStart - lead,
      deadline: heat.expectedStart - lead,
      until: heat.expectedFinish,
      heatId: heat.id,
      carId: null,
      words:
        duty.owedBy === personId
          ? `Marshal ${heat.label}`
          : `Marshal ${heat.label} for ${owner?.name ?? duty.owedBy}`,
    })
  }
  for (const job of input.jobs) {
    if (job.personId !== personId) continue
    items.push({
      kind: job.kind,
      id: `${job.kind}-${job.id}`,
      from: job.from,
      deadline: job.deadline,
      until: Math.max(job.from, job.deadline),
      heatId: null,
      carId: null,
      words: job.what,
    })
  }
  return items.sort((a, b) => a.deadline - b.deadline || a.from - b.from || a.id.localeCompare(b.id))
}
