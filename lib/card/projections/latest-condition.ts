import type { BoardView, MeetingRecord } from '../../board'

type Reading = MeetingRecord<'conditions'>
/** What a reading of the conditions can say. */
export type ConditionField = Exclude<keyof Reading, 'id' | 'removed'>

/** The reading that has the latest word on `field`, up to a time; ms since the epoch. Removed ones say nothing. */
export function latestCondition(
  view: Pick<BoardView, 'conditions'>,
  field: ConditionField,
  upTo = Infinity,
): Reading | undefined {
  let best: Reading | undefined
  for (const c of view.conditions.live) {
    const stamp = c[field]
    if (stamp && stamp.v !== null && stamp.at <= upTo && (!best || stamp.at > (best[field]?.at ?? 0)))
      best = c
  }
  return best
}
