'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useNow, useNameOf, useSession, useBoard, useSettle, useEditContext, useDerived } from '@/app/sync'
import { signJob } from '@/lib/board'
import { listFor, type DayDuties, runsNow } from '@/lib/card'
import type { PersonalItem } from '@/lib/planner'
import { Button, durationText, LinkButton, Ticket, TicketHead, timeText } from '@/app/ui'

/** Everything that one person has to do from now on, in order of deadline, each with its one tap. */
export function PersonDay({ duties, personId }: { duties: DayDuties; personId: string }) {
  const now = useNow(10_000)
  const nameOf = useNameOf()
  const me = useSession()
  const view = useBoard()
  const items = listFor(duties, personId, now)
  const name = nameOf(personId)
  const clashing = new Map(
    duties.clashes.filter((c) => c.personId === personId).map((c) => [c.heatId, c.words] as const),
  )
  return (
    <Ticket label={`${name}’s day`}>
      <TicketHead
        title={personId === me.personId ? 'Your own list' : `${name}’s list`}
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
                  {i.carId && `, ${view.cars.get(i.carId)?.name ?? 'a car'}`}
                  <span className="small block">
                    {whenWords(i, now)}
                    {clash && <span className="duty-clash block">{clash}</span>}
                  </span>
                </span>
                <ItemAct item={i} />
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

function ItemAct({ item }: { item: PersonalItem }) {
  const meetingId = useMeetingId()
  const settle = useSettle()
  const ctx = useEditContext()
  const runs = useDerived(runsNow)
  const base = `/board/${meetingId}`
  switch (item.kind) {
    case 'job': {
      const jobId = item.id.slice('job-'.length)
      return (
        <Button onPress={() => settle(signJob(ctx, { jobId, done: true }), 'Job signed')}>
          Done, sign it
        </Button>
      )
    }
    case 'chargeStart':
    case 'chargeStop':
    case 'swap':
      return <LinkButton href={`${base}/plan`}>To the charger</LinkButton>
    case 'run': {
      const run = runs.find((r) => r.heat.id === item.heatId && r.carId === item.carId)
      return run ? <LinkButton href={`${base}/staging/${run.runId}`}>Staging</LinkButton> : <span />
    }
    case 'marshal':
      return <span />
  }
}
