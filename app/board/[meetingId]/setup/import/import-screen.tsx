'use client'
import { useParams } from 'next/navigation'
import { useState } from 'react'
import { importRunningOrder, otherDayOf } from '@/lib/running-order'
import { isBad } from '@/lib/tables'
import { useAct, useBoard, useMay } from '@/app/sync'
import { Button, Empty, LinkButton, Refused, Ticket, Tick, TicketBody, TicketHead } from '@/app/ui'
import { ChangesStep } from './changes-step'
import { ClassesStep } from './classes-step'
import { ColumnsStep } from './columns-step'
import { OtherDayNote } from './other-day-note'
import { PreviewStep } from './preview-step'
import { ProblemsStep } from './problems-step'
import { RacersStep } from './racers-step'
import { ReadingStep } from './reading-step'
import { SourceStep } from './source-step'
import { useImport, type Import } from './use-import'

/** From a dropped file to the board: every guess can be corrected, every bad row is named, and nothing is written before it is confirmed. */
export function ImportScreen() {
  const view = useBoard()
  const { meetingId } = useParams<{ meetingId: string }>()
  const may = useMay('meeting', 'heats', 'new', 'number')
  const work = useImport(view)
  const [done, setDone] = useState<{ heats: number; entries: number } | null>(null)
  if (!may)
    return (
      <Empty
        title="Import a running order"
        level={1}
        acts={<LinkButton href={`/board/${meetingId}/order`}>Running order</LinkButton>}
      >
        <p>Only a manager can import a running order. It then shows up here on its own.</p>
      </Empty>
    )
  if (done) return <Done meetingId={meetingId} done={done} again={() => setDone(null)} />
  if (!work.source) return <SourceStep onTake={work.take} isRepeat={view.heats.live.length > 0} />
  const { understood } = work
  return (
    <>
      <Ticket>
        <TicketHead level={1} title={work.source.name} sub="Nothing changes until you confirm" />
        <ReadingStep work={work} />
        <OtherDayNote work={work} meetingId={meetingId} />
        {/* Of a corrected file the changes are the news; of a first one, how it was understood. */}
        {understood.plan?.firstImport ? (
          <>
            <ColumnsStep work={work} />
            <ClassesStep work={work} />
            <ProblemsStep work={work} />
            <RacersStep work={work} />
          </>
        ) : (
          <>
            <ProblemsStep work={work} />
            <ChangesStep work={work} />
            <ClassesStep work={work} />
            <RacersStep work={work} />
            <ColumnsStep work={work} />
          </>
        )}
        <PreviewStep work={work} />
        {understood.plan && understood.plan.heats.length === 0 && !otherDayOf(understood.plan.problems) && (
          <TicketBody>
            <p role="status">
              <b>No heats found.</b> Check which column has the heat number, or whether the rows are under
              headings such as “Heat 5, 4WD Modified, 11:20”.
            </p>
          </TicketBody>
        )}
      </Ticket>
      {understood.refusal && (
        <Refused
          refusal={understood.refusal}
          acts={<Button onPress={() => work.take(null)}>Another file</Button>}
        />
      )}
      <ConfirmBar work={work} onDone={setDone} />
    </>
  )
}

function ConfirmBar({
  work,
  onDone,
}: {
  work: Import
  onDone: (done: { heats: number; entries: number }) => void
}) {
  const act = useAct()
  const { plan, order } = work.understood
  if (!plan || !order || plan.heats.length === 0) return null
  const bad = plan.problems.filter(isBad)
  const entries = plan.heats.reduce((n, h) => n + h.entries.length, 0)
  const blocked = (bad.length > 0 && !work.choices.leaveOutBad) || plan.open.length > 0
  const nothing = plan.writes.length === 0
  const heats = plan.heats.filter((h) => !h.listed.isBreak).length
  return (
    <div className="confirm-bar" role="region" aria-label="Confirm the import">
      <div className="min-w-0 flex-1">
        {bad.length > 0 && (
          <Tick
            isSelected={work.choices.leaveOutBad}
            onChange={(leaveOutBad) => work.choose({ leaveOutBad })}
            detail={`${plan.badLineCount} lines are skipped. Nothing is deleted from the board because of them.`}
          >
            Import the good rows without the {bad.length} bad {bad.length === 1 ? 'one' : 'ones'}
          </Tick>
        )}
        {plan.open.length > 0 && (
          <p>
            {plan.open.length === 1
              ? 'One racer may be ours. Answer under “Our cars”.'
              : `${plan.open.length} racers may be ours. Answer under “Our cars”.`}
          </p>
        )}
        {bad.length === 0 && plan.open.length === 0 && (
          <p>
            {nothing
              ? 'Nothing to import. The board already has it all.'
              : plan.firstImport
                ? `${heats} heats with ${entries} entries.`
                : `${plan.changes.length} changes to the board.`}
          </p>
        )}
      </div>
      <Button
        look="do"
        isDisabled={blocked || nothing}
        onPress={() => {
          const done = act(
            (ctx, view) => importRunningOrder(ctx, view, { order, choices: work.choices, shown: plan }),
            `${heats} heats imported`,
          )
          if (!done.ok) return
          onDone(done.value)
          work.take(null)
        }}
      >
        {plan.firstImport ? `Import ${heats} heats` : 'Import these changes'}
      </Button>
    </div>
  )
}

function Done({
  meetingId,
  done,
  again,
}: {
  meetingId: string
  done: { heats: number; entries: number }
  again: () => void
}) {
  const view = useBoard()
  const ours = view.entries.live.filter((e) => e.carId && !view.heats.get(e.heatId)?.removed).length
  return (
    <Ticket tone="calm">
      <TicketHead
        level={1}
        title="The running order is on the board"
        sub={`${done.heats} heats and breaks, ${done.entries} entries; ${ours} runs are ours`}
      />
      <TicketBody>
        {ours === 0 && (
          <p>
            None of the entries is one of our cars yet. In the kit, give each car its driver and transponder,
            then import the file again. Or pick the car for each entry by hand.
          </p>
        )}
        <div className="btn-row">
          <LinkButton href={`/board/${meetingId}/order`} look="do">
            See the running order
          </LinkButton>
          <LinkButton href={`/board/${meetingId}/setup/heats`}>Heats and entries</LinkButton>
          <Button onPress={again}>Import another file</Button>
        </div>
      </TicketBody>
    </Ticket>
  )
}
