'use client'
import { dayDuties, listFor } from '@/lib/card'
import { durationText, Ticket, TicketHead, timeText } from '../../../ui'
import type { RaceDay } from '../use-race-day'

/** What this person has to do, in order of deadline: drive, marshal, charge, jobs. */
export function MyList({ day }: { day: RaceDay }) {
  const items = listFor(dayDuties(day.view, day.now), day.me.personId, day.now).slice(0, 8)
  return (
    <Ticket label="Your own list">
      <TicketHead title="Your own list" sub={day.nameOf(day.me.personId)} />
      {items.length === 0 ? (
        <p className="ticket-body small">
          Nothing with a time for you: no run, no marshal duty, no charge, no job.
        </p>
      ) : (
        <ol className="ruled">
          {items.map((i) => (
            <li key={i.id} className="my-item">
              <span className="num my-when">{timeText(i.deadline)}</span>
              <span className="min-w-0">
                {i.words}
                <span className="small block">
                  {i.deadline > day.now ? `in ${durationText(i.deadline - day.now)}` : 'now'}
                </span>
              </span>
            </li>
          ))}
        </ol>
      )}
    </Ticket>
  )
}
