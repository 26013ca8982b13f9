import type { ArchivePlan, RoomPlan } from '@/lib/archive'

const TOLD = 20
const text = (value: unknown): string => {
  const t = typeof value === 'string' ? value : JSON.stringify(value)
  return t.length > 60 ? `${t.slice(0, 60)}…` : t
}

/** A plan for the terminal. */
export function planLines(plan: ArchivePlan): string[] {
  const { scope, createdAt, photos, history, notes } = plan
  return [
    `An archive of ${scope.kind === 'team' ? 'the team' : 'one meeting'}, made ${createdAt.slice(0, 16).replace('T', ' ')} UTC.`,
    ...plan.rooms.flatMap(roomLines),
    `Photos: ${photos.added} new, ${photos.same} here already. History: ${history} lines.`,
    ...notes,
  ]
}

function roomLines(room: RoomPlan): string[] {
  const sums = room.collections.map((c) =>
    [
      c.added > 0 && `${c.added} new`,
      c.later > 0 && `${c.later} changed`,
      c.conflicts > 0 && `${c.conflicts} in conflict`,
    ]
      .filter(Boolean)
      .join(', '),
  )
  const lists = room.collections.flatMap((c, i) => (sums[i] ? [`  ${c.label}: ${sums[i]}`] : []))
  const rest = [
    room.filled > 0 && `${room.filled} empty values filled`,
    room.older > 0 && `${room.older} stay: they are later here, or belong to people who are here`,
    room.same > 0 && `${room.same} the same`,
  ].filter(Boolean)
  return [
    `${room.name}${room.isNew ? ' (new)' : ''}`,
    ...lists,
    ...(rest.length > 0 ? [`  ${rest.join(', ')}`] : []),
    ...room.differences
      .slice(0, TOLD)
      .map(
        (d) =>
          `  ${d.kind === 'conflict' ? 'conflict' : 'changed'}: ${d.collection} ${d.name}, ${d.field}: here ${text(d.here)}, archive ${text(d.archive)}`,
      ),
    ...(room.differences.length > TOLD ? [`  … and ${room.differences.length - TOLD} more`] : []),
  ]
}
