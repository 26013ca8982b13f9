'use client'
import { useState } from 'react'
import { Button, Ticket, TicketBody, TicketHead, TicketSection } from '@/app/ui'
import { useChargePlan, type PlanState } from '@/app/meeting/replan/use-charge-plan'
import { WayTrial } from './way-trial'

interface ImpossibleProps {
  plan: Extract<PlanState, { state: 'answered' }>
  mayTake: boolean
  onTaken: () => void
}

/** No plan exists: which facts together rule it out, and the cheapest ways out, each of which can be tried before anything changes. */
export function ImpossibleTicket({ plan, mayTake, onTaken }: ImpossibleProps) {
  const { reason, isExplaining } = plan
  return (
    <Ticket tone="hot" label="No plan is possible">
      <TicketHead title="No plan covers every run" sub="proven, not guessed" />
      <div role="status">
        <TicketBody>
          {reason ? (
            <>
              <p>
                {reason.irreducible
                  ? 'These together make it impossible. Without any one of them there would be a plan:'
                  : 'These together make it impossible. There was no time to check whether fewer would:'}
              </p>
              <ul className="list-disc pl-5" aria-label="What makes a plan impossible">
                {reason.facts.map((fact) => (
                  <li key={fact}>{fact}</li>
                ))}
              </ul>
            </>
          ) : (
            <p>
              {isExplaining
                ? 'Looking for the reason and for ways out …'
                : 'Free a channel, bring another pack or skip a run, then try again.'}
            </p>
          )}
        </TicketBody>
      </div>
      {reason && <Ways ways={reason.waysOut} mayTake={mayTake} onTaken={onTaken} />}
    </Ticket>
  )
}

type Reason = NonNullable<Extract<PlanState, { state: 'answered' }>['reason']>

interface WaysProps {
  ways: Reason['waysOut']
  mayTake: boolean
  onTaken: () => void
}

function Ways({ ways, mayTake, onTaken }: WaysProps) {
  const { plan, ask } = useChargePlan()
  const [tried, setTried] = useState<number | null>(null)
  const way = tried === null ? undefined : ways[tried]
  return (
    <>
      <TicketSection title="Ways out, easiest first" />
      {ways.length === 0 && (
        <TicketBody>
          <p>No single step makes a plan possible. Leave out practice runs, or bring more packs.</p>
        </TicketBody>
      )}
      <ol className="ruled" aria-label="Ways out">
        {ways.map((w, i) => (
          <li key={w.words} className="way-out">
            <span className="min-w-0">
              {i + 1}. {w.words}
            </span>
            <Button
              look={tried === i ? 'do' : 'plain'}
              aria-label={`Try this: ${w.words}`}
              isDisabled={tried === i && plan.state === 'working'}
              onPress={() => {
                setTried(i)
                ask(w.input)
              }}
            >
              Try this
            </Button>
          </li>
        ))}
      </ol>
      {way && <WayTrial key={way.words} way={way} plan={plan} mayTake={mayTake} onTaken={onTaken} />}
    </>
  )
}
