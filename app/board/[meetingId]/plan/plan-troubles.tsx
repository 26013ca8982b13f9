'use client'
import type { PlanWatch } from '@/lib/card'
import { Ticket, TicketHead } from '../../../ui'
import type { PlanState } from './use-charge-plan'

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
        The day has moved. The plan still holds, but {waitingLong} {waitingLong === 1 ? 'pack' : 'packs'}{' '}
        would wait full for long{mayTake ? '; a better plan is looked for.' : '.'}
      </p>
    ) : null
  return (
    <div role="status">
      <Ticket tone="hot" label="The plan no longer holds">
        <TicketHead title="The plan no longer holds" sub={stateWords(plan, mayTake)} />
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
  if (!mayTake) return 'a manager or a mechanic takes a new one'
  switch (plan.state) {
    case 'idle':
    case 'working':
      return 'a new one is worked out, with as few changes as can be'
    case 'answered':
      return plan.outcome.kind === 'planned'
        ? 'look at the proposal below; nothing changes until you take it'
        : 'and none was found that would; see below'
    case 'failed':
      return 'and no new one could be worked out; see below'
  }
}
