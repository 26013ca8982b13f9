'use client'
import { signJob } from '@/lib/board'
import { listFor, type DayDuties } from '@/lib/card'
import type { PersonalItem } from '@/lib/planner'
import { Button, durationText, LinkButton, Ticket, TicketHead, timeText } from '../../../ui'
import type { RaceDay } from '../use-race-day'

/** Everything that one person has to do from now on, in order of deadline, each with its one tap. */
export function PersonDay({ day, duties, personId }: { day: RaceDay; duties: DayDuties; personId: string }) {
  const items = listFor(duties, personId, day.now)
  const name = day.nameOf(personId)
  const clashing = new Map(
    duties.clashes.filter((c) => c.personId === personId).map((c) => [c.heatId, c.words] as const),
  )
  return (
    <Ticket label={`${name}’s day`}>
      <TicketHead
        title={personId === day.me.personId ? 'Your own list' : `${name}’s list`}
        sub="in order of deadline"
        stub={
          <>
            <span className="num">{items.length}</span>
            <small>to do</small>
          </>
        }
      />
      {items.length === 0 ? (
        <p className="ticket-body small">
          Nothing with a time: no run, no marshal duty, no charge, no job. Jobs without a time are under Jobs.
        </p>
      ) : (
        <ol className="ruled" aria-label={`${name}’s list`}>
          {items.map((i) => {
            const clash = i.kind === 'marshal' && i.heatId ? clashing.get(i.heatId) : undefined
            return (
              <li key={i.id} className="duty-item" data-item={i.id} data-clash={clash ? '' : undefined}>
                <span className="num duty-when">{timeText(i.deadline)}</span>
                <span className="min-w-0">
                  {i.words}
                  {i.carId && `, ${day.view.cars.get(i.carId)?.name ?? 'a car'}`}
                  <span className="small block">
                    {whenWords(i, day.now)}
                    {clash && <span className="duty-clash block">{clash}</span>}
                  </span>
                </span>
                <ItemAct day={day} item={i} />
              </li>
            )
          })}
        </ol>
      )}
    </Ticket>
  )
}

function whenWords(i: PersonalItem, now: number): string {
  const what = i.kind === 'run' ? 'the call' : i.kind === 'marshal' ? 'be at the track' : 'due'
  if (i.deadline <= now) {
    const ago = `${durationText(now - i.deadline)} ago`
    return i.kind === 'run' ? `called ${ago}` : i.kind === 'job' ? 'overdue' : `due ${ago}`
  }
  return `${what} in ${durationText(i.deadline - now)}`
}

function ItemAct({ day, item }: { day: RaceDay; item: PersonalItem }) {
  const base = `/board/${day.meetingId}`
  switch (item.kind) {
    case 'job': {
      const jobId = item.id.slice('job-'.length)
      return (
        <Button onPress={() => day.settle(signJob(day.ctx, { jobId, done: true }), 'Job signed')}>
          Done, sign it
        </Button>
      )
    }
    case 'chargeStart':
    case 'chargeStop':
    case 'swap':
      return <LinkButton href={`${base}/plan`}>To the charger</LinkButton>
    case 'run': {
      const run = day.runs.find((r) => r.heat.id === item.heatId && r.carId === item.carId)
      return run ? <LinkButton href={`${base}/staging/${run.runId}`}>Staging</LinkButton> : <span />
    }
    case 'marshal':
      return <span />
  }
}
