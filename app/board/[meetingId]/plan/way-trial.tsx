'use client'
import { useBoard, useSettle, useEditContext } from '@/app/sync'
import { canWrite, takeWayOut, type BoardStep, type EditContext } from '@/lib/board'
import { wayOnBoard } from '@/lib/card'
import { newId } from '@/lib/core/id'
import type { WayOut } from '@/lib/planner'
import { Button, Caution, DataTable, TicketBody, TicketSection, timeText } from '@/app/ui'
import type { PlanState } from '@/app/meeting/replan/use-charge-plan'
import { wayRows } from './way-rows'

interface TrialProps {
  way: WayOut
  plan: PlanState
  mayTake: boolean
  onTaken: () => void
}

/** The plan that one way out would give, before anything on the board changes; and what taking it writes. */
export function WayTrial({ way, plan, mayTake, onTaken }: TrialProps) {
  const view = useBoard()
  const settle = useSettle()
  const ctx = useEditContext()
  if (plan.state === 'idle') return null
  const outcome = plan.state === 'answered' ? plan.outcome : null
  if (outcome?.kind !== 'planned')
    return (
      <TicketBody>
        <p>
          {plan.state === 'working'
            ? `Planning with this: ${way.words} …`
            : plan.state === 'failed'
              ? `It did not work: ${plan.message}`
              : 'No plan was found in time. Try another way.'}
        </p>
      </TicketBody>
    )
  const taken = wayOnBoard(view, way.step, outcome.plan.uses, newId)
  const may = mayTake && taken !== null && mayWrite(ctx, taken.step)
  const take = () => {
    if (taken && settle(takeWayOut(ctx, view, taken), `Applied: ${way.words}`)) onTaken()
  }
  return (
    <>
      <TicketSection
        title={`If: ${way.words}`}
        aside={<span className="small">a trial; nothing has changed</span>}
      />
      <DataTable
        label="The plan this would give"
        rows={wayRows(way.input, outcome.plan, timeText)}
        empty="No runs left."
        columns={[
          { id: 'run', label: 'Run', cell: (r) => r.run, isRowHeader: true },
          { id: 'pack', label: 'Pack', cell: (r) => <span className="num">{r.pack}</span> },
          { id: 'charge', label: 'Charge', cell: (r) => r.charge },
          { id: 'change', label: 'Change from today’s plan', cell: (r) => r.change },
        ]}
      />
      <div className="ticket-body grid gap-3">
        {taken?.alsoWrites && <p>Applying it does more than move packs. {taken.alsoWrites}</p>}
        {(way.step.kind === 'coolLess' || way.step.kind === 'borrowPack') && <Caution kind="pack" />}
        <Button look="do" wide isDisabled={!may} onPress={take}>
          Apply this and its plan
        </Button>
        {!may && <p className="small">A manager or a mechanic applies it.</p>}
      </div>
    </>
  )
}

function mayWrite(ctx: EditContext, step: BoardStep): boolean {
  switch (step.kind) {
    case 'rules':
      return canWrite(ctx, 'meeting', 'meeting', 'meeting', 'chargeHands')
    case 'new-charger':
      return canWrite(ctx, 'kit', 'chargers', 'new', 'label')
    case 'new-pack':
    case 'pack-out':
      return canWrite(ctx, 'kit', 'packs', 'new', 'label')
    case 'supply-power':
      return canWrite(ctx, 'kit', 'supplies', step.supplyId, 'powerW')
    case 'plan-only':
    case 'unpin':
    case 'charge-share':
    case 'leave-out':
      return true
  }
}
