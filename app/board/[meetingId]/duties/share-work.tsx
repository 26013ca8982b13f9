'use client'
import { useEditContext, useBoard, useDerived, useNow, useSettle, useNameOf } from '@/app/sync'
import { useState } from 'react'
import { assignMechanics, canWrite } from '@/lib/board'
import { crewInput, mechanicsOf, type DayDuties, runsNow, carInHeat } from '@/lib/card'
import type { CrewPlan } from '@/lib/planner'
import { Button, Refused, Tick, TicketSection, timeText } from '@/app/ui'
import { useSolver } from '@/app/meeting/solver/use-solver'

/** Works out who does the hands-on work of which run, so that nobody is needed twice; people take it in whole or in parts. */
export function ShareWork({ duties }: { duties: DayDuties }) {
  const ctx = useEditContext()
  const view = useBoard()
  const runs = useDerived(runsNow)
  const now = useNow(10_000)
  const { state, ask: solve, drop } = useSolver('crew')
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set())
  const may = canWrite(ctx, 'meeting', 'runs', 'any', 'mechanicId')
  if (!may) return null

  const ask = () => {
    setLeft(new Set())
    solve(crewInput(view, runs, duties, now))
  }
  return (
    <div className="no-print">
      <div className="ticket-body">
        <Button wide isDisabled={state.state === 'working'} onPress={ask}>
          {state.state === 'working' ? 'Sharing the work …' : 'Share the work'}
        </Button>
      </div>
      {state.state === 'failed' && (
        <Refused
          refusal={{
            field: 'Crew',
            value: '',
            reason: state.message,
            remedy:
              'Try again, or assign by hand. If it keeps failing, reload the page where there is a network.',
          }}
        />
      )}
      {state.state === 'planned' && (
        <Shared plan={state.plan} left={left} onLeft={setLeft} onTaken={() => drop()} />
      )}
    </div>
  )
}

interface SharedProps {
  plan: CrewPlan
  left: ReadonlySet<string>
  onLeft: (left: ReadonlySet<string>) => void
  onTaken: () => void
}

function Shared({ plan, left, onLeft, onTaken }: SharedProps) {
  const runs = useDerived(runsNow)
  const view = useBoard()
  const settle = useSettle()
  const ctx = useEditContext()
  const nameOf = useNameOf()
  const changes = plan.work.flatMap((w) => {
    const run = runs.find((r) => r.runId === w.jobId)
    return run && mechanicsOf(view, run)[0] !== w.personId ? [{ ...w, run }] : []
  })
  const chosen = changes.filter((c) => !left.has(c.jobId))
  const take = () => {
    const parts = chosen.map((c) => ({ runId: c.jobId, personId: c.personId }))
    if (settle(assignMechanics(ctx, parts), `Work shared for ${parts.length} runs`)) onTaken()
  }
  const toggle = (id: string, isTaken: boolean) =>
    onLeft(new Set(isTaken ? [...left].filter((x) => x !== id) : [...left, id]))
  return (
    <div role="status">
      <TicketSection title={changes.length ? 'Proposed' : 'It can’t be shared any better'} />
      {plan.undone.length > 0 && (
        <ul className="ticket-body duty-clash" aria-label="Nobody has time for">
          {plan.undone.map((u) => (
            <li key={u.jobId}>{u.words}</li>
          ))}
        </ul>
      )}
      <ul className="ruled px-4" aria-label="Proposed mechanics">
        {changes.map((c) => (
          <li key={c.jobId}>
            <Tick
              isSelected={!left.has(c.jobId)}
              onChange={(v) => toggle(c.jobId, v)}
              detail={`from ${timeText(c.startAt)} to ${timeText(c.endAt)}, instead of ${nameOf(mechanicsOf(view, c.run)[0])}`}
            >
              {nameOf(c.personId)}: {carInHeat(c.run)}
            </Tick>
          </li>
        ))}
      </ul>
      {changes.length > 0 && (
        <div className="ticket-body">
          <Button look="do" wide isDisabled={chosen.length === 0} onPress={take}>
            {chosen.length === changes.length ? 'Apply it' : `Apply ${chosen.length} of ${changes.length}`}
          </Button>
        </div>
      )}
    </div>
  )
}
