import type { DutyClash, DutyHeat, DutyInput, MarshalDuty } from './duty-types'

interface Look {
  input: DutyInput
  heats: Map<string, DutyHeat>
  duties: readonly MarshalDuty[]
}

const minutes = (ms: number): number => Math.max(0, Math.round(ms / 60_000))

/** What stands in the way of one person marshalling one heat; `besides` is the duty itself, if it is already his. */
function obstacles(look: Look, personId: string, heat: DutyHeat, besides: MarshalDuty | null): DutyClash[] {
  const { input, heats } = look
  const name = input.people.find((p) => p.id === personId)?.name ?? personId
  const clash = (kind: DutyClash['kind'], otherId: string, words: string): DutyClash => ({
    heatId: heat.id,
    personId,
    kind,
    otherId,
    words,
  })
  const found: DutyClash[] = []
  for (const run of input.runs) {
    const own = heats.get(run.heatId)
    if (run.personId !== personId || !own || own.dropped) continue
    const overlaps = own.expectedStart < heat.expectedFinish && heat.expectedStart < own.expectedFinish
    if (own.id === heat.id || overlaps)
      found.push(clash('ownRun', own.id, `${name} drives in ${own.label} while due to marshal ${heat.label}`))
    else if (own.expectedStart >= heat.expectedFinish) {
      const gap = own.expectedStart - heat.expectedFinish
      if (gap < input.minimumGapSeconds * 1000)
        found.push(
          clash(
            'tooShort',
            own.id,
            `${name} has ${minutes(gap)} min from marshalling ${heat.label} to driving in ${own.label}`,
          ),
        )
    }
  }
  for (const job of input.jobs) {
    // A single act (put a pack on charge) cannot be done while standing on the track either.
    const end = Math.max(job.deadline, job.from + 1)
    if (job.personId === personId && job.from < heat.expectedFinish && heat.expectedStart < end)
      found.push(clash('job', job.id, `${name} is due to marshal ${heat.label} during “${job.what}”`))
  }
  for (const other of look.duties) {
    const where = heats.get(other.heatId)
    if (other === besides || other.doneBy !== personId || !where) continue
    const overlaps = where.expectedStart < heat.expectedFinish && heat.expectedStart < where.expectedFinish
    if (where.id === heat.id || overlaps)
      found.push(clash('twice', where.id, `${name} is due to marshal ${heat.label} and also ${where.label}`))
  }
  return found
}

const lookAt = (input: DutyInput, duties: readonly MarshalDuty[]): Look => ({
  input,
  duties,
  heats: new Map(input.heats.map((h) => [h.id, h])),
})

/**
 * Every duty that its doer cannot do well: own run at the same time (also in another class), too little time before
 * the own next run, a job at the same time, or two duties at once. A driver who just drove the heat before is no
 * clash: that is the rule itself.
 */
export function dutyClashes(input: DutyInput, duties: readonly MarshalDuty[]): DutyClash[] {
  const look = lookAt(input, duties)
  return duties.flatMap((d) => {
    const heat = look.heats.get(d.heatId)
    return d.doneBy === null || !heat ? [] : obstacles(look, d.doneBy, heat, d)
  })
}

export interface StandIn {
  personId: string
  name: string
  /** Duties that this person already has today, stand-ins included. */
  load: number
  /** Time from this duty to the person's own next run, seconds; null when there is none. */
  slackSeconds: number | null
}

/**
 * Who could take a duty over without any clash: first those with the fewest duties, then those with the most time
 * before their own next run. Empty when nobody can, which the caller must say.
 */
export function standInsFor(input: DutyInput, duties: readonly MarshalDuty[], duty: MarshalDuty): StandIn[] {
  const look = lookAt(input, duties)
  const heat = look.heats.get(duty.heatId)
  if (!heat) return []
  return input.people
    .filter((p) => p.id !== duty.owedBy && p.id !== duty.doneBy && p.mayMarshal !== false)
    .filter((p) => obstacles(look, p.id, heat, null).length === 0)
    .map((p): StandIn => {
      const next = input.runs
        .filter((r) => r.personId === p.id)
        .map((r) => look.heats.get(r.heatId))
        .filter((h): h is DutyHeat => h !== undefined && !h.dropped && h.expectedStart >= heat.expectedFinish)
        .map((h) => (h.expectedStart - heat.expectedFinish) / 1000)
      return {
        personId: p.id,
        name: p.name,
        load: duties.filter((d) => d.doneBy === p.id).length,
        slackSeconds: next.length ? Math.min(...next) : null,
      }
    })
    .sort(
      (a, b) =>
        a.load - b.load ||
        (b.slackSeconds ?? Infinity) - (a.slackSeconds ?? Infinity) ||
        a.personId.localeCompare(b.personId),
    )
}
