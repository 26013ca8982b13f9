'use client'
import { canWrite, keepTires } from '@/lib/board'
import { tireInput, type RunInfo } from '@/lib/card'
import {
  Button,
  DataTable,
  HelpNote,
  LinkButton,
  Refused,
  Tabs,
  Tick,
  Ticket,
  TicketBody,
  TicketHead,
  timeText,
} from '../../../ui'
import type { RaceDay } from '../use-race-day'
import { allowanceWords, tireSetRows } from './tire-parts'
import { TireProposal } from './tire-proposal'
import { useSolver } from '../solver/use-solver'

const runWords = (r: RunInfo) => `${r.carName}, heat ${r.heat.number ?? '?'}`

/** Which tires for which run: worked out within the classes' limits and the runs left in each set, and taken by people. */
export function TiresTicket({ day }: { day: RaceDay }) {
  const { state: tires, ask, drop } = useSolver('tires')
  const coming = day.runs.filter((r) => r.state === 'upcoming' || r.state === 'called')
  const may = canWrite(day.ctx, 'meeting', 'runs', 'any', 'tireSetId')
  const shod = coming.filter((r) => r.run?.tireSetId?.v).length
  if (day.view.tireSets.live.length === 0)
    return (
      <Ticket label="Tires">
        <TicketHead title="Tires" sub="the kit has no tire sets yet" />
        <TicketBody>
          <LinkButton href="/kit/tires">Enter tire sets</LinkButton>
        </TicketBody>
      </Ticket>
    )
  const isWorking = tires.state === 'working'
  return (
    <Ticket label="Tires">
      <TicketHead title="Tires" sub={`${shod} of ${coming.length} coming runs have tires`} />
      <div className="ticket-body no-print flex items-center gap-2">
        {may && (
          <Button
            wide
            isDisabled={isWorking || coming.length === 0}
            onPress={() => ask(tireInput(day.view, day.runs, day.now))}
          >
            {isWorking ? 'Planning the tires …' : 'Plan the tires'}
          </Button>
        )}
        <HelpNote about="How tires are planned">
          Every coming run gets a set that fits the car, has runs left in it and stays within the class’s
          limit on sets. After that, in this order: what the card asks for and fresh tires in the runs that
          matter most, few new sets, few tire changes, few changes to today’s plan. Nothing changes on the
          board until you apply it.
        </HelpNote>
      </div>
      {tires.state === 'failed' && (
        <Refused
          refusal={{
            field: 'Tires',
            value: '',
            reason: tires.message,
            remedy:
              'Try again, or assign by hand. If it keeps failing, reload the page where there is a network.',
          }}
        />
      )}
      {tires.state === 'planned' && <TireProposal day={day} plan={tires.plan} onTaken={drop} />}
      <Tabs
        label="Tires by run or by set"
        tabs={[
          { id: 'runs', label: 'By run', content: <ByRun day={day} coming={coming} may={may} /> },
          { id: 'sets', label: 'By set', content: <BySet day={day} /> },
        ]}
      />
    </Ticket>
  )
}

function ByRun({ day, coming, may }: { day: RaceDay; coming: readonly RunInfo[]; may: boolean }) {
  const label = (id: string | null | undefined) => (id ? (day.view.tireSets.get(id)?.label ?? '?') : '–')
  const rows = coming.map((run) => ({ id: run.runId, run }))
  return (
    <>
      <DataTable
        label="Tires by run"
        rows={rows}
        empty="The team has no more runs today."
        columns={[
          { id: 'run', label: 'Run', cell: (r) => runWords(r.run), isRowHeader: true },
          {
            id: 'call',
            label: 'Call',
            cell: (r) => (r.run.callAt === null ? '–' : timeText(r.run.callAt)),
            isNumber: true,
          },
          {
            id: 'set',
            label: 'Set',
            cell: (r) => <span className="num">{label(r.run.run?.tireSetId?.v)}</span>,
          },
          {
            id: 'on',
            label: 'On the car',
            cell: (r) => <span className="num">{label(r.run.run?.tiresOn?.v)}</span>,
          },
          {
            id: 'pinned',
            label: 'Pinned',
            cell: (r) =>
              r.run.run?.tireSetId?.v ? (
                <Tick
                  isSelected={r.run.run.tiresKept ?? false}
                  isDisabled={!may}
                  onChange={(kept) => void day.settle(keepTires(day.ctx, { runId: r.run.runId, kept }))}
                >
                  Pin
                  <span className="visually-hidden">
                    {' '}
                    {label(r.run.run.tireSetId.v)} for {runWords(r.run)}
                  </span>
                </Tick>
              ) : (
                'nothing to pin'
              ),
          },
        ]}
      />
    </>
  )
}

function BySet({ day }: { day: RaceDay }) {
  const allowances = allowanceWords(day.view, day.runs)
  return (
    <>
      <DataTable
        label="Tire sets"
        rows={tireSetRows(day.view, day.runs)}
        hrefOf={(r) => `/kit/tires/${r.id}`}
        columns={[
          { id: 'set', label: 'Set', cell: (r) => <span className="num">{r.label}</span>, isRowHeader: true },
          { id: 'what', label: 'What', cell: (r) => r.what },
          { id: 'runs', label: 'Runs', cell: (r) => r.runs, isNumber: true },
          { id: 'good', label: 'Good for', cell: (r) => r.runsGood ?? '–', isNumber: true },
          { id: 'assigned', label: 'Assigned', cell: (r) => r.assigned, isNumber: true },
          {
            id: 'left',
            label: 'Left after',
            cell: (r) =>
              r.leftAfter === null ? '–' : r.leftAfter < 0 ? `${-r.leftAfter} over` : r.leftAfter,
            isNumber: true,
          },
        ]}
      />
      {allowances.length > 0 && (
        <ul className="ticket-body small" aria-label="Sets within the class’s limit">
          {allowances.map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      )}
    </>
  )
}
