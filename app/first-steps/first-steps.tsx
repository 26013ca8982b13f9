'use client'
import { MeetingRoot, useBoard, useSession } from '@/app/sync'
import { Button, FactMark, LinkButton, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { firstSteps, type FirstStep } from './first-steps-of'
import { useOthersOnBoard, usePutAway } from './use-first-steps'
import './first-steps.css'

/**
 * From an empty board to the first heat, by what is still missing. Only for who can do all of it; gone by itself when nothing is missing, and
 * put away with one tap on this device.
 */
export function FirstSteps() {
  const { role } = useSession()
  const [isAway, putAway] = usePutAway()
  const view = useBoard()
  const isManager = role === 'manager'
  const others = useOthersOnBoard(isManager && !isAway)
  if (!isManager) return null
  // Before the crew and the order are known, what the kit says decides whether there is anything to show.
  const open = firstSteps(view, { heats: 1, others: others ?? 1 }).some((s) => !s.isDone)
  const [only, ...more] = view.meetings.live
  const mayLackOrder = only !== undefined && more.length === 0
  if (!open && !mayLackOrder) return null
  if (isAway)
    return open ? (
      <p>
        <Button look="quiet" onPress={() => putAway(false)}>
          Show the first steps
        </Button>
      </p>
    ) : null
  const away = () => putAway(true)
  if (!mayLackOrder) return <Steps steps={firstSteps(view, { heats: null, others })} onAway={away} />
  return (
    <MeetingRoot
      meetingId={only.id}
      waiting={open ? <Steps steps={firstSteps(view, { heats: null, others })} onAway={away} /> : null}
    >
      <WithMeeting others={others} onAway={away} />
    </MeetingRoot>
  )
}

function WithMeeting({ others, onAway }: { others: number | null; onAway: () => void }) {
  const view = useBoard()
  const steps = firstSteps(view, { heats: view.heats.live.length, others })
  // What is not known yet is not missing.
  if (steps.every((s) => s.isDone || (s.id === 'crew' && others === null))) return null
  return <Steps steps={steps} onAway={onAway} />
}

function Steps({ steps, onAway }: { steps: readonly FirstStep[]; onAway: () => void }) {
  const done = steps.filter((s) => s.isDone).length
  const next = steps.find((s) => !s.isDone && s.href !== '')
  return (
    <Ticket tone="calm" label="First steps">
      <TicketHead
        title="First steps"
        sub={`${done} of ${steps.length} done; this goes away once nothing is missing`}
      />
      <ol className="first-steps">
        {steps.map((s) => (
          <li key={s.id} data-done={s.isDone}>
            <FactMark state={s.isDone ? 'yes' : 'no'} />
            <span className="min-w-0">
              <b>{s.title}</b>
              <span className="visually-hidden">{s.isDone ? ' (done): ' : ' (missing): '}</span>
              <small>{s.state}</small>
            </span>
            {!s.isDone && s.href !== '' && (s === next || s.href !== next?.href) && (
              <LinkButton href={s.href} look={s === next ? 'do' : 'plain'}>
                {s.act}
              </LinkButton>
            )}
          </li>
        ))}
      </ol>
      <TicketBody>
        <Button look="quiet" onPress={onAway}>
          Hide
        </Button>
      </TicketBody>
    </Ticket>
  )
}
