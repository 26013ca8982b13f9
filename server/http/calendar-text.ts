import { createHash } from 'node:crypto'
import ical, { ICalAlarmType, ICalCalendarMethod } from 'ical-generator'
import type { CalendarEntry } from '@/lib/card'

/** How often a calendar app is asked to look again, s. Many look less often, whatever they are asked. */
export const REFRESH_S = 300
/** Minutes before an entry at which a calendar is to ring. Many apps leave it to the phone's own setting whether alarms of a feed count. */
const ALARM_MINUTES = [10, 2] as const

/**
 * A person's day as iCalendar text (RFC 5545, with RFC 7986's refresh interval). All times in UTC, so no time zone definitions are needed and
 * phones in any zone show the same instant.
 *
 * @param stamp ms since the epoch: DTSTAMP, and the sequence number that tells an app which of two versions is newer
 */
export function calendarText(name: string, entries: readonly CalendarEntry[], stamp: number): string {
  const calendar = ical({
    prodId: { company: 'Stagecall', product: 'Race day', language: 'EN' },
    name,
    method: ICalCalendarMethod.PUBLISH,
    ttl: REFRESH_S,
  })
  const sequence = Math.max(0, Math.floor((stamp - SEQUENCE_FROM) / 1000))
  for (const e of entries) {
    const event = calendar.createEvent({
      id: e.uid,
      stamp: new Date(stamp),
      sequence,
      start: new Date(e.startAt),
      end: new Date(e.endAt),
      summary: e.title,
      ...(e.details.length > 0 && { description: e.details.join('\n') }),
    })
    // The phone's own calendar rings even with the browser closed (RFC 5545, section 3.6.6).
    for (const minutes of ALARM_MINUTES)
      event.createAlarm({ type: ICalAlarmType.display, trigger: minutes * 60, description: e.title })
  }
  return calendar.toString()
}

/** The sequence number counts seconds from here, which keeps it growing over restarts and within 32 bits until 2088. */
const SEQUENCE_FROM = Date.UTC(2020, 0, 1)

/** Changes only when an entry does, not with every stamp: apps that ask with it get a 304 and keep what they have. */
export const calendarTag = (name: string, entries: readonly CalendarEntry[]): string =>
  `"${createHash('sha256')
    .update(JSON.stringify([name, entries]))
    .digest('base64url')
    .slice(0, 27)}"`
