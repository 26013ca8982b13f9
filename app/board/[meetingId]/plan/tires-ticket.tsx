'use client'
import { useDerived, useEditContext, useBoard, useNow, useSettle } from '@/app/sync'
import { canWrite, keepTires } from '@/lib/board'
import { tireInput, type RunInfo, runsNow, carInHeat } from '@/lib/card'
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
} from '@/app/ui'
import { allowanceWords, tireSetRows } from './tire-parts'
import { TireProposal } from './tire-proposal'
import { useSolver } from '@/app/meeting/solver/use-solver'

/** Which tires for which run: worked out within the classes' limits and the runs left in each set, and taken by people. */
export function TiresTicket() {
  const runs = useDerived(runsNow)
  const ctx = useEditContext()
  const view = useBoard()
  const now = useNow(10_000)
  const { state: tires, ask, drop } = useSolver('tires')
  const coming = runs.filter((r) => r.state === 'upcoming' || r.state === 'called')
  const may = canWrite(ctx, 'meeting', 'runs', 'any', 'tireSetId')
  const shod = coming.filter((r) => r.run?.tireSetId?.v).length
  if (view.tireSets.live.length === 0)
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
      <TicketHead title="Tires" sub={`${shod} of ${coming.length} upcoming runs have tires`} />
      <div className="ticket-body no-print flex items-center gap-2">
        {may && (
          <Button
            wide
            isDisabled={isWorking || coming.length === 0}
            onPress={() => ask(tireInput(view, runs, now))}
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
      {tires.state === 'planned' && <TireProposal plan={tires.plan} onTaken={drop} />}
      <Tabs
        label="Tires by run or by set"
        tabs={[
          { id: 'runs', label: 'By run', content: <ByRun coming={coming} may={may} /> },
          { id: 'sets', label: 'By set', content: <BySet /> },
        ]}
      />
    </Ticket>
  )
}

function ByRun({ coming, may }: { coming: readonly RunInfo[]; may: boolean }) {
  const view = useBoard()
  const settle = useSettle()
  const ctx = useEditContext()
  const label = (id: string | null | undefined) => (id ? (view.tireSets.get(id)?.label ?? '?') : '–')
  const rows = coming.map((run) => ({ id: run.runId, run }))
  return (
    <>
      <DataTable
        label="Tires by run"
        rows={rows}
        empty="The team has no more runs today."
        columns={[
          { id: 'run', label: 'Run', cell: (r) => carInHeat(r.run), isRowHeader: true },
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
                  onChange={(kept) => void settle(keepTires(ctx, { runId: r.run.runId, kept }))}
                >
                  Pin
                  <span className="visually-hidden">
                    {' '}
                    {label(r.run.run.tireSetId.v)} for {carInHeat(r.run)}
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

function BySet() {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const allowances = allowanceWords(view, runs)
  return (
    <>
      <DataTable
        label="Tire sets"
        rows={tireSetRows(view, runs)}
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
