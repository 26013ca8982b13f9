'use client'
import { runsNow, carInHeat } from '@/lib/card'
import { useBoard, useDerived, useSettle, useEditContext } from '@/app/sync'
import { useState } from 'react'
import { takeTires } from '@/lib/board'
import type { TirePlan } from '@/lib/planner'
import { Button, Tick, TicketSection, timeText } from '@/app/ui'
import { tireParts } from './tire-parts'

/** What the solver proposes beside what the board holds: taken whole or in parts, or left. */
export function TireProposal({ plan, onTaken }: { plan: TirePlan; onTaken: () => void }) {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const settle = useSettle()
  const ctx = useEditContext()
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set())
  const parts = tireParts(view, runs, plan)
  const chosen = parts.filter((p) => !left.has(p.runId))
  const unshod = plan.unshod.filter((u) => runs.some((r) => r.runId === u.runId && r.state !== 'on-track'))
  const take = () => {
    const runs = `${chosen.length} ${chosen.length === 1 ? 'run' : 'runs'}`
    if (settle(takeTires(ctx, view, chosen), `Tires assigned for ${runs}`)) onTaken()
  }
  const toggle = (id: string, isTaken: boolean) =>
    setLeft((s) => new Set(isTaken ? [...s].filter((x) => x !== id) : [...s, id]))
  return (
    <div role="status">
      <TicketSection
        title={parts.length ? 'Proposed tires' : 'The tires are already the best choice'}
        aside={
          <span className="small">{plan.proven ? 'proven: nothing is better' : 'best found in time'}</span>
        }
      />
      {unshod.length > 0 && (
        <ul className="ticket-body refusal" aria-label="No set for">
          {unshod.map((u) => (
            <li key={u.runId}>{u.words}</li>
          ))}
        </ul>
      )}
      {parts.length > 0 && (
        <>
          <ul className="ruled px-4" aria-label="Proposed tires">
            {parts.map((p) => (
              <li key={p.runId}>
                <Tick isSelected={!left.has(p.runId)} onChange={(v) => toggle(p.runId, v)} detail={p.words}>
                  <span className="num">{p.label}</span> for {carInHeat(p.run)}
                  {p.run.callAt !== null && `, call ${timeText(p.run.callAt)}`}
                </Tick>
              </li>
            ))}
          </ul>
          <div className="ticket-body no-print">
            <Button look="do" wide isDisabled={chosen.length === 0} onPress={take}>
              {chosen.length === parts.length
                ? 'Apply these tires'
                : `Apply ${chosen.length} of ${parts.length}`}
            </Button>
          </div>
        </>
      )}
    </div>
  )
}
