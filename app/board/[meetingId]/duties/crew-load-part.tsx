'use client'
import { useBoard, useDerived, useNameOf, useEditContext, useSettle } from '@/app/sync'
import { assignMechanic, canWrite } from '@/lib/board'
import { crewLoad, HANDS_ON_MS, type CrewOverlap, type DayDuties, runsNow, carInHeat } from '@/lib/card'
import { compareNames } from '@/lib/core/compare-names'
import { Button, DataTable, durationText, Ticket, TicketHead, TicketSection, timeText } from '@/app/ui'
import { ShareWork } from './share-work'

/** Who works on how many coming runs, where the same hands are asked for twice, and who could take one over. */
export function CrewLoadPart({ duties }: { duties: DayDuties }) {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const nameOf = useNameOf()
  const load = crewLoad(view, runs)
  const rows = load.people
    .map(({ personId, tasks }) => ({
      id: personId,
      name: nameOf(personId),
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
            <small>needed twice at once</small>
          </>
        }
      />
      <DataTable
        label="Coming runs by mechanic"
        rows={rows}
        empty="No mechanic on any coming run. Name one for the car in the kit, or per run."
        columns={[
          { id: 'name', label: 'Who', cell: (r) => r.name, isRowHeader: true },
          { id: 'runs', label: 'Runs', cell: (r) => r.runs, isNumber: true },
          { id: 'overlaps', label: 'At once', cell: (r) => r.overlaps, isNumber: true },
          {
            id: 'next',
            label: 'Next',
            cell: (r) => (r.next ? `${timeText(r.next.from)} ${r.next.run.carName}` : '–'),
          },
        ]}
      />
      <ShareWork duties={duties} />
      {load.overlaps.length > 0 && <TicketSection title="Needed on two cars at once" />}
      <ul className="ruled" aria-label="Needed on two cars at once">
        {load.overlaps.slice(0, 6).map((o) => (
          <li key={`${o.first.runId}.${o.second.runId}`}>
            <OverlapRow overlap={o} />
          </li>
        ))}
      </ul>
      {load.unmanned.length > 0 && (
        <p className="ticket-body">
          No mechanic on {load.unmanned.map(carInHeat).slice(0, 6).join('; ')}
          {load.unmanned.length > 6 && ` and ${load.unmanned.length - 6} more`}.
        </p>
      )}
    </Ticket>
  )
}

function OverlapRow({ overlap }: { overlap: CrewOverlap }) {
  const ctx = useEditContext()
  const settle = useSettle()
  const view = useBoard()
  const nameOf = useNameOf()
  const { first, second, freePersonId } = overlap
  const may = canWrite(ctx, 'meeting', 'runs', second.runId, 'mechanicId')
  const give = () =>
    freePersonId &&
    settle(
      assignMechanic(ctx, view, { runId: second.runId, personId: freePersonId }),
      `${nameOf(freePersonId)} works on ${carInHeat(second)}`,
    )
  return (
    <div className="duty-item">
      <span className="num duty-when">{second.callAt === null ? '–' : timeText(second.callAt)}</span>
      <span className="min-w-0">
        <b>{nameOf(overlap.personId)}</b> is needed on {carInHeat(first)} and {carInHeat(second)} at once for{' '}
        {durationText(overlap.forMs)}
        <span className="small block">
          {freePersonId ? `${nameOf(freePersonId)} is free` : 'nobody else is free'}
        </span>
      </span>
      {freePersonId && (
        <Button isDisabled={!may} onPress={give}>
          {nameOf(freePersonId).split(' ')[0]} does it
        </Button>
      )}
    </div>
  )
}
