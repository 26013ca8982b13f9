import type { DayDuties } from '../duties/day-duties'
import type { LooseEnd } from './loose-end'
import { MINUTE } from './loose-end-people'

/** A clash is worth a word only while there is still time to find a stand-in, and no earlier than people can act on it. */
const AHEAD_MS = 120 * MINUTE

/** Marshal duties that whoever owes them can't do. */
export function dutyLooseEnds(day: DayDuties, now: number): LooseEnd[] {
  const heats = new Map(day.input.heats.map((h) => [h.id, h]))
  const seen = new Set<string>()
  return day.clashes.flatMap((clash): LooseEnd[] => {
    const heat = heats.get(clash.heatId)
    const duty = day.duties.find((d) => d.heatId === clash.heatId && d.doneBy === clash.personId)
    const id = `duty:${clash.heatId}:${clash.personId}`
    if (!heat || !duty || seen.has(id) || heat.expectedStart < now || heat.expectedStart > now + AHEAD_MS)
      return []
    seen.add(id)
    return [
      {
        id,
        title: clash.words,
        why: 'somebody else could stand in',
        who: { personIds: [clash.personId], role: 'manager' },
        bitesAt: heat.expectedStart - day.input.stagingLeadSeconds * 1000,
        carId: null,
        runId: null,
        act: { kind: 'stand-in', heatId: clash.heatId, owedBy: duty.owedBy },
      },
    ]
  })
}
