import type { KitRecord } from '@/lib/board'

const DAY = 86_400_000

/** 0 for a meeting that runs now (a weekend has up to three days), 1 for coming, 2 for past ones. `now`: ms since the epoch. */
export function nearness(meeting: KitRecord<'meetings'>, now: number): 0 | 1 | 2 {
  const start = meeting.startsAt ?? 0
  if (now >= start - DAY / 2 && now < start + 3 * DAY) return 0
  return start > now ? 1 : 2
}

/** The one meeting that is on; null when there is none, or more than one to choose from. */
export function meetingOnNow(
  meetings: readonly KitRecord<'meetings'>[],
  now: number,
): KitRecord<'meetings'> | null {
  const on = meetings.filter((m) => nearness(m, now) === 0)
  return on.length === 1 ? (on[0] ?? null) : null
}
