'use client'
import { runsNow, carInHeat } from '@/lib/card'
import { useBoard, useDerived, useEditContext, useSettle } from '@/app/sync'
import { useState } from 'react'
import { canWrite, takePlan } from '@/lib/board'
import type { ChargePlanOutcome } from '@/lib/planner'
import { Button, Tick, Ticket, TicketHead, TicketSection, timeText } from '@/app/ui'
import type { KeptParts } from '@/app/meeting/replan/plan-messages'
import { planParts, type PlanPart } from '@/app/meeting/replan/plan-parts'

type Planned = Extract<ChargePlanOutcome, { kind: 'planned' }>

interface DifferencesProps {
  outcome: Planned
  onFit: (keep: KeptParts) => void
}

/** A proposed plan beside what the board holds: taken whole, in parts as they are, or in parts with the rest fitted around them. */
export function Differences({ outcome, onFit }: DifferencesProps) {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const ctx = useEditContext()
  const settle = useSettle()
  const parts = planParts(view, runs, outcome.plan, timeText)
  const open = parts.filter((p) => p.differences.length > 0)
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set())
  const chosen = open.filter((p) => !left.has(p.runId))
  const may = open.every((p) => canWrite(ctx, 'meeting', 'runs', p.runId, 'packId'))
  const take = (which: readonly PlanPart[]) =>
    settle(
      takePlan(
        ctx,
        view,
        which.map((p) => p.proposed),
      ),
      `Plan applied to ${which.length} ${which.length === 1 ? 'run' : 'runs'}`,
    )
  const fit = (which: readonly PlanPart[]) =>
    onFit({ proposal: outcome.plan.uses, runIds: which.map((p) => p.runId) })
  const toggle = (id: string, take: boolean) =>
    setLeft((s) => new Set(take ? [...s].filter((x) => x !== id) : [...s, id]))
  return (
    <Ticket tone="calm" label="Proposed plan">
      <TicketHead
        title={open.length ? 'Proposed changes' : 'The plan is already the best one'}
        sub={`${parts.length} runs have a pack · ${proofText(outcome)} · ${outcome.seconds.toFixed(1)} s`}
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
                    ? `${carInHeat(p.run)}, call ${p.run.callAt ? timeText(p.run.callAt) : '–'}`
                    : p.runId}
                </Tick>
              </li>
            ))}
          </ul>
          <div className="ticket-body no-print">
            <Button look="do" wide isDisabled={!may || chosen.length === 0} onPress={() => take(chosen)}>
              {chosen.length === open.length
                ? 'Apply the whole plan'
                : `Apply ${chosen.length} of ${open.length}`}
            </Button>
            {chosen.length > 0 && chosen.length < open.length && (
              <>
                <Button wide onPress={() => fit(chosen)}>
                  Plan the rest around these {chosen.length}
                </Button>
                <p className="small">
                  One change may need another: a pack or a channel may be free only because of a change you
                  leave out. Planning the rest makes a plan that keeps these and changes little else.
                </p>
              </>
            )}
            {!may && <p className="small">A manager or a mechanic applies it.</p>}
          </div>
        </>
      )}
      {outcome.plan.afterDay.length > 0 && (
        <>
          <TicketSection title="After the day" />
          <p className="ticket-body small">
            Bring to storage charge:{' '}
            {outcome.plan.afterDay
              .map((a) => `${view.packs.get(a.packId)?.label ?? '?'} (${a.need})`)
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
  return open
    ? `best found in time; “${open.goal}” is ${open.value}, the limit is ${open.bound}`
    : 'best found'
}
