'use client'
import { runsNow } from '@/lib/card'
import { useDerived, useBoard } from '@/app/sync'
import { Button, Empty, HelpNote, LinkButton, Refused, Ticket } from '@/app/ui'
import { ChannelBars } from './channel-bars'
import { ChargeByHand } from './charge-by-hand'
import { ImpossibleTicket } from './impossible-ticket'
import { PartialTicket } from './partial-ticket'
import { PackActs } from './pack-acts'
import { PlanExceptions } from './plan-exceptions'
import { Differences } from './plan-differences'
import { PlanTroubles } from './plan-troubles'
import { TiresTicket } from './tires-ticket'
import { UnknownPacks } from './unknown-packs'
import { useReplan, type Replan } from '@/app/meeting/replan/use-replan'
import '@/app/meeting/order.css'
import './plan.css'

/** Which pack for which run, on which channel, from when to when; and the one tap for each charge. */
export function PlanScreen() {
  const runs = useDerived(runsNow)
  const view = useBoard()
  const replan = useReplan()
  const { watch, plan, mayTake, ask, drop } = replan
  const coming = runs.filter((r) => r.state === 'upcoming' || r.state === 'called')
  const lacks = view.packs.live.length === 0 ? 'packs' : view.chargers.live.length === 0 ? 'chargers' : null
  if (lacks)
    return (
      <div className="page page-narrow">
        <h1>Charge plan</h1>
        <Empty
          title={`No ${lacks} in the kit yet`}
          acts={
            <LinkButton look="do" href={`/kit/${lacks}`}>
              Enter {lacks}
            </LinkButton>
          }
        >
          <p>
            A charge plan needs the team’s packs and its chargers with their limits. The times come from the
            running order.
          </p>
        </Empty>
      </div>
    )
  return (
    <div className="page">
      <header className="page-head">
        <h1>Charge plan</h1>
        <div className="btn-row no-print">
          <Button look="do" isDisabled={plan.state === 'working' || coming.length === 0} onPress={ask}>
            {plan.state === 'working' ? 'Planning …' : 'Make a plan'}
          </Button>
          <HelpNote about="How the plan is made">
            Every coming run gets a legal pack, charged in time on a free channel within its limits. After
            that, in this order: the strongest packs in the runs that matter most, even use of all packs, and
            little time sitting full. The planner proves that no plan is better, or says how close it got.
            Nothing changes on the board until you apply the plan.
          </HelpNote>
        </div>
      </header>
      <div className="mb-4 grid gap-4 empty:hidden">
        <UnknownPacks />
        <PlanTroubles watch={watch} plan={plan} mayTake={mayTake} />
        <PlanExceptions onChanged={drop} />
      </div>
      <div className="split split-loose-first">
        <div className="grid gap-4 min-w-0">
          <Proposal replan={replan} />
          <ChannelBars />
          <TiresTicket />
        </div>
        <div className="grid gap-4 min-w-0">
          <PackActs />
          <ChargeByHand />
        </div>
      </div>
    </div>
  )
}

function Proposal({ replan }: { replan: Replan }) {
  const { plan, mayTake, drop, fitAround } = replan
  switch (plan.state) {
    case 'idle':
      return null
    case 'working':
      return (
        <Ticket tone="calm">
          <div className="ticket-body" role="status">
            <p>Making a plan takes up to twenty seconds. You can go on working.</p>
          </div>
        </Ticket>
      )
    case 'failed':
      return (
        <Refused
          refusal={{
            field: 'Charge plan',
            value: '',
            reason: plan.message,
            remedy: 'Try again. If it keeps failing, reload the page where there is a network.',
          }}
        />
      )
    case 'answered': {
      const { outcome, partial } = plan
      if (outcome.kind === 'planned') return <Differences key={plan.n} outcome={outcome} onFit={fitAround} />
      return (
        <>
          {outcome.kind === 'impossible' ? (
            <ImpossibleTicket key={plan.n} plan={plan} mayTake={mayTake} onTaken={drop} />
          ) : (
            !partial && <NoneInTime isSearching={plan.isExplaining} />
          )}
          {partial && partial.leftOut.length > 0 && (
            <PartialTicket
              partial={partial}
              n={plan.n}
              isImpossible={outcome.kind === 'impossible'}
              mayTake={mayTake}
              onTaken={drop}
            />
          )}
        </>
      )
    }
  }
}

const NoneInTime = ({ isSearching }: { isSearching: boolean }) =>
  isSearching ? (
    <Ticket tone="calm">
      <div className="ticket-body" role="status">
        <p>No plan for every run was found in time. Looking for one that powers as many as can be …</p>
      </div>
    </Ticket>
  ) : (
    <Refused
      refusal={{
        field: 'Charge plan',
        value: '',
        reason: 'none of the packs can be ready for a run on these channels',
        remedy: 'Charge a pack by hand, add a charger, or check the packs’ states, and make the plan again.',
      }}
    />
  )
