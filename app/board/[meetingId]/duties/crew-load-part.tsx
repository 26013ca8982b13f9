'use client'
import { assignMechanic, canWrite } from '@/lib/board'
import { crewLoad, HANDS_ON_MS, type CrewOverlap, type DayDuties, type RunInfo } from '@/lib/card'
import { compareNames } from '@/lib/core/compare-names'
import { Button, DataTable, durationText, Ticket, TicketHead, TicketSection, timeText } from '../../../ui'
import type { RaceDay } from '../use-race-day'
import { ShareWork } from './share-work'

const runWords = (r: RunInfo) => `${r.carName}, heat ${r.heat.number ?? '?'}`

/** Who works on how many coming runs, where the same hands are asked for twice, and who could take one over. */
export function CrewLoadPart({ day, duties }: { day: RaceDay; duties: DayDuties }) {
  const load = crewLoad(day.view, day.runs)
  const rows = load.people
    .map(({ personId, tasks }) => ({
      id: personId,
      name: day.nameOf(personId),
      runs: tasks.length,
      next: tasks[0],
      overlaps: load.overlaps.filter((o) => o.personId === personId).length,
    }))
    .sort((a, b) => b.runs - a.runs || compareNames(a.name, b.name))
  const loose = load.overlaps.length + load.unmanned.length
  return (
    <Ticket tone={loose ? 'hot' : 'plain'} label="Hands">
      <TicketHead
        title="Hands"
        sub={`each car needs somebody for the ${HANDS_ON_MS / 60_000} min before its call`}
        stub={
          <>
            <span className="num">{load.overlaps.length}</span>
            <small>asked for twice</small>
          </>
        }
      />
      <DataTable
        label="Coming runs by mechanic"
        rows={rows}
        empty="Nobody of the crew works on a coming run. Name a mechanic in the kit’s cars, or per run."
        columns={[
          { id: 'name', label: 'Who', cell: (r) => r.name, isRowHeader: true },
          { id: 'runs', label: 'Runs', cell: (r) => r.runs, isNumber: true },
          { id: 'overlaps', label: 'Twice', cell: (r) => r.overlaps, isNumber: true },
          {
            id: 'next',
            label: 'Next',
            cell: (r) => (r.next ? `${timeText(r.next.from)} ${r.next.run.carName}` : '–'),
          },
        ]}
      />
      <ShareWork day={day} duties={duties} />
      {load.overlaps.length > 0 && <TicketSection title="The same hands twice" />}
      <ul className="ruled" aria-label="The same hands twice">
        {load.overlaps.slice(0, 6).map((o) => (
          <li key={`${o.first.runId}.${o.second.runId}`}>
            <OverlapRow day={day} overlap={o} />
          </li>
        ))}
      </ul>
      {load.unmanned.length > 0 && (
        <p className="ticket-body">
          Nobody works on {load.unmanned.map(runWords).slice(0, 6).join('; ')}
          {load.unmanned.length > 6 && ` and ${load.unmanned.length - 6} more`}.
        </p>
      )}
    </Ticket>
  )
}

function OverlapRow({ day, overlap }: { day: RaceDay; overlap: CrewOverlap }) {
  const { first, second, freePersonId } = overlap
  const may = canWrite(day.ctx, 'meeting', 'runs', second.runId, 'mechanicId')
  const give = () =>
    freePersonId &&
    day.settle(
      assignMechanic(day.ctx, day.view, { runId: second.runId, personId: freePersonId }),
      `${day.nameOf(freePersonId)} takes ${runWords(second)}`,
    )
  return (
    <div className="duty-item">
      <span className="num duty-when">{second.callAt === null ? '–' : timeText(second.callAt)}</span>
      <span className="min-w-0">
        <b>{day.nameOf(overlap.personId)}</b> is needed at {runWords(first)} and at {runWords(second)}
        <span className="small block">
          both for {durationText(overlap.forMs)}
          {freePersonId ? `; ${day.nameOf(freePersonId)} is free then` : '; nobody else is free then'}
        </span>
      </span>
      {freePersonId && (
        <Button isDisabled={!may} onPress={give}>
          {day.nameOf(freePersonId).split(' ')[0]} takes it
        </Button>
      )}
    </div>
  )
}
