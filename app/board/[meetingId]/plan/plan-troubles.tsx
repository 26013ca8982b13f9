'use client'
import type { PlanWatch } from '@/lib/card'
import { Ticket, TicketHead } from '@/app/ui'
import type { PlanState } from '@/app/meeting/replan/use-charge-plan'

/** What the taken plan can no longer keep, in words, and what is being done about it. */
export function PlanTroubles({
  watch,
  plan,
  mayTake,
}: {
  watch: PlanWatch
  plan: PlanState
  mayTake: boolean
}) {
  const { troubles, waitingLong } = watch
  if (troubles.length === 0)
    return waitingLong > 0 ? (
      <p className="note" role="status">
        The times moved. The plan still works, but {waitingLong} {waitingLong === 1 ? 'pack' : 'packs'} would
        sit full too long{mayTake ? '; looking for a better plan.' : '.'}
      </p>
    ) : null
  return (
    <div role="status">
      <Ticket tone="hot" label="The plan no longer works">
        <TicketHead title="The plan no longer works" sub={stateWords(plan, mayTake)} />
        <ul className="ruled">
          {troubles.map((t) => (
            <li key={t.id} data-trouble={t.kind} className="px-4 py-2">
              {t.words}
            </li>
          ))}
        </ul>
      </Ticket>
    </div>
  )
}

function stateWords(plan: PlanState, mayTake: boolean): string {
  if (!mayTake) return 'a manager or a mechanic applies a new one'
  switch (plan.state) {
    case 'idle':
    case 'working':
      return 'making a new one with as few changes as possible'
    case 'answered':
      return plan.outcome.kind === 'planned'
        ? 'see the proposal below; nothing changes until you apply it'
        : 'no new plan works either; see below'
    case 'failed':
      return 'a new one could not be made; see below'
  }
}
