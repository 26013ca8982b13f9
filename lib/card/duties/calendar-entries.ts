import type { BoardView } from '../../board'
import { dayDuties, listOf } from './day-duties'

/** One entry of a person's calendar. Times in ms since the epoch, on whole minutes. */
export interface CalendarEntry {
  /** The same for as long as the thing is the same, so that an entry moves instead of doubling. */
  uid: string
  title: string
  startAt: number
  endAt: number
  /** Lines of plain text. */
  details: string[]
  kind: string
}

const MINUTE = 60_000
/** A single act (put a pack on) still needs room in a calendar. */
const SHORTEST_MS = 5 * MINUTE

const toMinute = (at: number) => Math.round(at / MINUTE) * MINUTE

/**
 * A person's whole day at a meeting as calendar entries, following the forecast: runs from the call to the finish, marshal duties, charges and
 * jobs. What is over stays, so that the day can be read back. Forecasts move by seconds all the time; a calendar is told whole minutes.
 */
export function calendarEntries(
  view: BoardView,
  meetingId: string,
  personId: string,
  now: number,
): CalendarEntry[] {
  const lead = view.meeting.get('meeting')?.stagingLeadSeconds ?? 0
  return listOf(dayDuties(view, now), personId).map((item): CalendarEntry => {
    const startAt = toMinute(item.from)
    const heat = view.heats.get(item.heatId)
    const started = heat?.startedAt?.v ?? null
    const car = view.cars.get(item.carId)?.name
    const details: string[] = []
    if (car) details.push(`Car: ${car}`)
    if (item.kind === 'run' && lead > 0)
      details.push(`Starts with the call, ${lead / 60} min before the start`)
    if (heat && started === null) details.push('Expected time; it moves as the day runs early or late')
    return {
      uid: `${item.id}.${meetingId}@stagecall`,
      title: car ? `${item.words}, ${car}` : item.words,
      startAt,
      endAt: Math.max(toMinute(item.until), startAt + SHORTEST_MS),
      details,
      kind: item.kind,
    }
  })
}
