'use client'
import { Ticket, TicketBody, TicketHead, TicketSection } from '../../../ui'
import type { PlanState } from './use-charge-plan'

/** No plan exists: which facts together rule it out, and the cheapest ways out. */
export function ImpossibleTicket({ plan }: { plan: Extract<PlanState, { state: 'answered' }> }) {
  const { reason, isExplaining } = plan
  return (
    <div role="status">
      <Ticket tone="hot" label="No plan is possible">
        <TicketHead title="No plan can power every run" sub="proven, not guessed" />
        {reason ? (
          <>
            <TicketBody>
              <p>
                {reason.irreducible
                  ? 'These together rule it out; without any one of them a plan exists:'
                  : 'These together rule it out; there was no time to find out whether fewer do:'}
              </p>
              <ul className="list-disc pl-5" aria-label="What rules a plan out">
                {reason.facts.map((fact) => (
                  <li key={fact}>{fact}</li>
                ))}
              </ul>
            </TicketBody>
            <TicketSection title="Ways out, easiest first" />
            <TicketBody>
              {reason.waysOut.length > 0 ? (
                <ol className="list-decimal pl-5" aria-label="Ways out">
                  {reason.waysOut.map((way) => (
                    <li key={way}>{way}</li>
                  ))}
                </ol>
              ) : (
                <p>No single step makes a plan possible. Leave practice runs out, or bring packs.</p>
              )}
            </TicketBody>
          </>
        ) : (
          <TicketBody>
            <p>
              {isExplaining
                ? 'Looking for the reason, and for ways out …'
                : 'Free a channel, bring another pack, or let a run go, and ask again.'}
            </p>
          </TicketBody>
        )}
      </Ticket>
    </div>
  )
}
