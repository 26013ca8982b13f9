'use client'
import { useState } from 'react'
import { canWrite, takePlan } from '@/lib/board'
import type { ChargePlanOutcome } from '@/lib/planner'
import {
  Button,
  Empty,
  HelpNote,
  LinkButton,
  Refused,
  Tick,
  Ticket,
  TicketHead,
  TicketSection,
  timeText,
} from '../../../ui'
import { useRaceDay, type RaceDay } from '../use-race-day'
import { ChannelBars } from './channel-bars'
import { ChargeByHand } from './charge-by-hand'
import { ImpossibleTicket } from './impossible-ticket'
import { PackActs } from './pack-acts'
import { planParts, type PlanPart } from './plan-parts'
import { PlanTroubles } from './plan-troubles'
import type { PlanState } from './use-charge-plan'
import { TiresTicket } from './tires-ticket'
import { useReplan } from './use-replan'
import '../order/order.css'
import './plan.css'

type Planned = Extract<ChargePlanOutcome, { kind: 'planned' }>

/** Which pack for which run, on which channel, from when to when; and the one tap for each charge. */
export function PlanScreen() {
  const day = useRaceDay(10_000)
  const { watch, plan, mayTake, ask } = useReplan(day)
  const coming = day.runs.filter((r) => r.state === 'upcoming' || r.state === 'called')
  const lacks =
    day.view.packs.live.length === 0 ? 'packs' : day.view.chargers.live.length === 0 ? 'chargers' : null
  if (lacks)
    return (
      <div className="page page-narrow">
        <h1>Charge plan</h1>
        <Empty
          title={`The kit has no ${lacks} yet`}
          acts={
            <LinkButton look="do" href={`/kit/${lacks}`}>
              Enter {lacks}
            </LinkButton>
          }
        >
          <p>
            A charge plan is worked out from the team’s packs, its chargers with their limits, and the day’s
            forecast.
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
            {plan.state === 'working' ? 'Working it out …' : 'Work the plan out'}
          </Button>
          <HelpNote about="How the plan is made">
            Every coming run gets a legal pack, charged in time on a free channel within its limits. Then, in
            this order: the strongest packs in the runs that matter most, even use of all packs, short waiting
            when full. The solver proves that nothing is better in that order, or says how far it got. Nothing
            changes on the board until somebody takes the plan.
          </HelpNote>
        </div>
      </header>
      <div className="mb-4 empty:hidden">
        <PlanTroubles watch={watch} plan={plan} mayTake={mayTake} />
      </div>
      <div className="split split-loose-first">
        <div className="grid gap-4 min-w-0">
          <Proposal day={day} plan={plan} />
          <ChannelBars day={day} />
          <TiresTicket day={day} />
        </div>
        <div className="grid gap-4 min-w-0">
          <PackActs day={day} />
          <ChargeByHand day={day} />
        </div>
      </div>
    </div>
  )
}

function Proposal({ day, plan }: { day: RaceDay; plan: PlanState }) {
  switch (plan.state) {
    case 'idle':
      return null
    case 'working':
      return (
        <Ticket tone="calm">
          <div className="ticket-body" role="status">
            <p>The solver is at work, at most about twenty seconds. The screen stays usable.</p>
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
            remedy: 'Ask again; if it stays so, reload the page.',
          }}
        />
      )
    case 'answered': {
      const { outcome } = plan
      if (outcome.kind === 'planned') return <Differences key={plan.n} day={day} outcome={outcome} />
      if (outcome.kind === 'impossible') return <ImpossibleTicket plan={plan} />
      return (
        <Refused
          refusal={{
            field: 'Charge plan',
            value: '',
            reason: 'time ran out before a plan was found',
            remedy: 'Pin some packs by hand, or leave practice runs out, and ask again.',
          }}
        />
      )
    }
  }
}

function Differences({ day, outcome }: { day: RaceDay; outcome: Planned }) {
  const parts = planParts(day.view, day.runs, outcome.plan, timeText)
  const open = parts.filter((p) => p.differences.length > 0)
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set())
  const chosen = open.filter((p) => !left.has(p.runId))
  const may = open.every((p) => canWrite(day.ctx, 'meeting', 'runs', p.runId, 'packId'))
  const take = (which: readonly PlanPart[]) =>
    day.settle(
      takePlan(
        day.ctx,
        day.view,
        which.map((p) => p.proposed),
      ),
      `Plan taken for ${which.length} ${which.length === 1 ? 'run' : 'runs'}`,
    )
  const toggle = (id: string, take: boolean) =>
    setLeft((s) => new Set(take ? [...s].filter((x) => x !== id) : [...s, id]))
  return (
    <Ticket tone="calm" label="Proposed plan">
      <TicketHead
        title={open.length ? 'Proposed changes' : 'The board holds the best plan'}
        sub={`${parts.length} runs powered · ${proofText(outcome)} · ${outcome.seconds.toFixed(1)} s`}
      />
      {open.length > 0 && (
        <>
          <ul className="ruled px-4">
            {open.map((p) => (
              <li key={p.runId}>
                <Tick
                  isSelected={!left.has(p.runId)}
                  onChange={(v) => toggle(p.runId, v)}
                  detail={p.differences.join(' · ')}
                >
                  {p.run
                    ? `${p.run.carName}, heat ${p.run.heat.number ?? '?'}, call ${p.run.callAt ? timeText(p.run.callAt) : '–'}`
                    : p.runId}
                </Tick>
              </li>
            ))}
          </ul>
          <div className="ticket-body no-print">
            <Button look="do" wide isDisabled={!may || chosen.length === 0} onPress={() => take(chosen)}>
              {chosen.length === open.length
                ? 'Take the whole plan'
                : `Take ${chosen.length} of ${open.length}`}
            </Button>
            {!may && <p className="small">A manager or a mechanic takes it.</p>}
          </div>
        </>
      )}
      {outcome.plan.afterDay.length > 0 && (
        <>
          <TicketSection title="After the day" />
          <p className="ticket-body small">
            To storage level:{' '}
            {outcome.plan.afterDay
              .map((a) => `${day.view.packs.get(a.packId)?.label ?? '?'} (${a.need})`)
              .join(', ')}
          </p>
        </>
      )}
    </Ticket>
  )
}

function proofText(outcome: Planned): string {
  if (outcome.plan.proven) return 'proven: nothing is better'
  const open = outcome.plan.proof.find((p) => !p.proven)
  return open ? `best found; “${open.goal}” ${open.value}, could still reach ${open.bound}` : 'best found'
}
