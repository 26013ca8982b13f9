'use client'
import { useDerived, useNow, useSession, useNameOf } from '@/app/sync'
import { dutiesNow, listFor } from '@/lib/card'
import { durationText, shortDayText, Ticket, TicketHead, timeText } from '@/app/ui'

const DAY_MS = 24 * 3_600_000
/** Of a day that is over, or not yet here, the day says more than a length of time. */
const whenWords = (at: number, now: number): string =>
  at < now - DAY_MS
    ? `was ${shortDayText(at)}`
    : at > now + DAY_MS
      ? shortDayText(at)
      : at > now
        ? `in ${durationText(at - now)}`
        : 'now'

/** What this person has to do, in order of deadline: drive, marshal, charge, jobs. */
export function MyList() {
  const now = useNow(5_000)
  const me = useSession()
  const nameOf = useNameOf()
  const items = listFor(useDerived(dutiesNow), me.personId, now).slice(0, 8)
  return (
    <Ticket label="Your own list">
      <TicketHead title="Your own list" sub={nameOf(me.personId)} />
      {items.length === 0 ? (
        <p className="ticket-body small">Nothing on the clock for you: no run, no marshal duty, no charge.</p>
      ) : (
        <ol className="ruled">
          {items.map((i) => (
            <li key={i.id} className="my-item">
              <span className="num my-when">{timeText(i.deadline)}</span>
              <span className="min-w-0">
                {i.words}
                <span className="small block">{whenWords(i.deadline, now)}</span>
              </span>
            </li>
          ))}
        </ol>
      )}
    </Ticket>
  )
}
