'use client'
import { useState } from 'react'
import { assignMechanics, canWrite } from '@/lib/board'
import { crewInput, mechanicsOf, type DayDuties } from '@/lib/card'
import type { CrewPlan } from '@/lib/planner'
import { Button, Refused, Tick, TicketSection, timeText } from '../../../ui'
import type { RaceDay } from '../use-race-day'
import { useSolver } from '../solver/use-solver'

/** Works out who does the hands-on work of which run, so that nobody is needed twice; people take it in whole or in parts. */
export function ShareWork({ day, duties }: { day: RaceDay; duties: DayDuties }) {
  const { state, ask: solve, drop } = useSolver('crew')
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set())
  const may = canWrite(day.ctx, 'meeting', 'runs', 'any', 'mechanicId')
  if (!may) return null

  const ask = () => {
    setLeft(new Set())
    solve(crewInput(day.view, day.runs, duties, day.now))
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
        <Shared day={day} plan={state.plan} left={left} onLeft={setLeft} onTaken={() => drop()} />
      )}
    </div>
  )
}

interface SharedProps {
  day: RaceDay
  plan: CrewPlan
  left: ReadonlySet<string>
  onLeft: (left: ReadonlySet<string>) => void
  onTaken: () => void
}

function Shared({ day, plan, left, onLeft, onTaken }: SharedProps) {
  const changes = plan.work.flatMap((w) => {
    const run = day.runs.find((r) => r.runId === w.jobId)
    return run && mechanicsOf(day.view, run)[0] !== w.personId ? [{ ...w, run }] : []
  })
  const chosen = changes.filter((c) => !left.has(c.jobId))
  const take = () => {
    const parts = chosen.map((c) => ({ runId: c.jobId, personId: c.personId }))
    if (day.settle(assignMechanics(day.ctx, parts), `Work shared for ${parts.length} runs`)) onTaken()
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
              detail={`from ${timeText(c.startAt)} to ${timeText(c.endAt)}, instead of ${day.nameOf(mechanicsOf(day.view, c.run)[0])}`}
            >
              {day.nameOf(c.personId)}: {c.run.carName}, heat {c.run.heat.number ?? '?'}
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
