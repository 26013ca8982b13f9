'use client'
import { useDerived } from '@/app/sync'
import { planInputNow, runsNow, carInHeat } from '@/lib/card'
import { leavingOut, type PartialPlan } from '@/lib/planner'
import { Ticket, TicketBody, TicketHead, TicketSection, timeText } from '@/app/ui'
import { WayTrial } from './way-trial'

interface PartialProps {
  partial: PartialPlan
  /** Of the answer, for the plan's own place in the list of answers. */
  n: number
  /** No plan powers every run: shown by the solver, not only not found. */
  isImpossible: boolean
  mayTake: boolean
  onTaken: () => void
}

/** The best that can be had when no plan powers every run, or none was found in time: what it leaves out, and what to do about those. */
export function PartialTicket({ partial, n, isImpossible, mayTake, onTaken }: PartialProps) {
  const runs = useDerived(runsNow)
  const planned = partial.plan.uses.length
  const all = planned + partial.leftOut.length
  const leftOut = partial.leftOut.map((id) => runs.find((r) => r.runId === id))
  const input = useDerived(planInputNow)
  const way = leavingOut(input, partial.leftOut)
  const outcome = { kind: 'planned', plan: partial.plan, seconds: 0 } as const
  return (
    <Ticket tone={isImpossible ? 'calm' : 'hot'} label="A plan for some of the runs">
      <TicketHead
        title={`A plan for ${planned} of ${all} runs`}
        sub={
          isImpossible
            ? 'the best one found so far'
            : 'no plan for every run was found in time; there may be one'
        }
      />
      <TicketSection title={partial.leftOut.length === 1 ? 'It leaves out' : 'It leaves these out'} />
      <ul className="ruled" aria-label="Runs left out">
        {leftOut.map((r, i) => (
          <li key={partial.leftOut[i]} className="px-4 py-2">
            {r ? `${carInHeat(r)}${r.callAt ? `, call ${timeText(r.callAt)}` : ''}` : 'a removed run'}
          </li>
        ))}
      </ul>
      <TicketBody>
        <p>
          To fit these in too: borrow a charged pack, add a charger channel, or charge faster where the packs
          and the rules allow it. Then make the plan again. If you apply this plan, they are listed as not
          planned, each with a button that plans it again.
        </p>
      </TicketBody>
      <WayTrial
        way={way}
        plan={{ state: 'answered', n, outcome, partial: null, reason: null, isExplaining: false }}
        mayTake={mayTake}
        onTaken={onTaken}
      />
    </Ticket>
  )
}
