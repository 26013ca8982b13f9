import type { DutyHeat, DutyInput, MarshalDuty } from './duty-types'

/** Which heat's drivers marshal which heat, by the rule; heats that will not run have no marshals and owe none. */
function marshalPairs(input: DutyInput): { heatId: string; driversOf: string }[] {
  const live = input.heats.filter((h) => !h.dropped)
  const { rule } = input
  if (rule.kind === 'none') return []
  if (rule.kind === 'table') {
    const running = new Set(live.map((h) => h.id))
    return rule.rows.filter((r) => running.has(r.heatId)).map((r) => ({ ...r }))
  }
  const rounds: DutyHeat[][] = []
  for (const heat of live) {
    const last = rounds[rounds.length - 1]
    if (last?.[0]?.round === heat.round) last.push(heat)
    else rounds.push([heat])
  }
  const pairs: { heatId: string; driversOf: string }[] = []
  rounds.forEach((heats, r) => {
    heats.forEach((heat, i) => {
      const before = i > 0 ? heats[i - 1] : undefined
      if (before) pairs.push({ heatId: heat.id, driversOf: before.id })
      else if (i === 0 && rule.firstHeatBy !== 'nobody') {
        const source = rule.firstHeatBy === 'lastOfPreviousRound' ? (rounds[r - 1] ?? heats) : heats
        const by = source[source.length - 1]
        if (by && by.id !== heat.id) pairs.push({ heatId: heat.id, driversOf: by.id })
      }
    })
  })
  return pairs
}

/**
 * The marshal duties of the people given, by the meeting's rule with substitutions applied, in running order. A
 * driver with two cars in the heat owes one duty. Only people who appear in `runs` owe any: the field's other
 * drivers are not the team's to plan.
 */
export function marshalDuties(input: DutyInput): MarshalDuty[] {
  const position = new Map(input.heats.map((h, i) => [h.id, i]))
  const duties: MarshalDuty[] = []
  for (const { heatId, driversOf } of marshalPairs(input)) {
    const owing = new Set(input.runs.filter((r) => r.heatId === driversOf).map((r) => r.personId))
    for (const owedBy of owing) {
      const change = input.substitutions.find((s) => s.heatId === heatId && s.personId === owedBy)
      duties.push({ heatId, owedBy, doneBy: change ? change.standInId : owedBy, becauseOf: driversOf })
    }
  }
  return duties.sort((a, b) => (position.get(a.heatId) ?? 0) - (position.get(b.heatId) ?? 0))
}
