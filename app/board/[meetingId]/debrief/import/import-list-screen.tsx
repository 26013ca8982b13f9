'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useAct, useBoard, useSession } from '@/app/sync'
import { useState } from 'react'
import { useSearchParams } from 'next/navigation'
import { heatsInOrder } from '@/lib/card'
import { importList } from '@/lib/results'
import { isBad, type RowProblem } from '@/lib/tables'
import {
  Button,
  Empty,
  LineProblems,
  LinkButton,
  Refused,
  Tick,
  Ticket,
  TicketBody,
  TicketHead,
} from '@/app/ui'
import { ListPreview } from './list-preview'
import { ListReading } from './list-reading'
import { ListSourceTicket } from './list-source'
import { useListImport } from './use-list-import'
import '../debrief.css'

/** Results or laps of a heat or a round: paste, look, confirm. */
export function ImportListScreen() {
  const view = useBoard()
  const meetingId = useMeetingId()
  const me = useSession()
  const act = useAct()
  const asked = useSearchParams().get('heat')
  const last = heatsInOrder(view).findLast((h) => h.startedAt?.v)
  const heat = view.heats.get(asked) ?? last
  const [done, setDone] = useState<{ rows: number } | null>(null)
  const work = useListImport(view, {
    heatId: asked ? (heat?.id ?? null) : null,
    roundId: heat?.roundId ?? null,
  })
  const back = `/board/${meetingId}/debrief`
  if (me.role !== 'manager' && me.role !== 'mechanic')
    return (
      <div className="page page-narrow">
        <Empty
          title="Managers and mechanics paste lists"
          level={1}
          acts={<LinkButton href={back}>Debrief</LinkButton>}
        >
          <p>You can read every result. A driver types the result of their own run in its debrief.</p>
        </Empty>
      </div>
    )
  if (view.heats.live.length === 0)
    return (
      <div className="page page-narrow">
        <Empty title="No heats yet" level={1} acts={<LinkButton href={back}>Debrief</LinkButton>}>
          <p>Results belong to heats. Import the running order first.</p>
        </Empty>
      </div>
    )
  if (done)
    return (
      <div className="page page-narrow">
        <Empty
          title={
            done.rows === 0
              ? 'The board already had all of it'
              : `${rowsText(done.rows)} ${done.rows === 1 ? 'is' : 'are'} on the board`
          }
          level={1}
          acts={
            <>
              <LinkButton look="do" href={back}>
                Debrief
              </LinkButton>
              <Button
                onPress={() => {
                  work.take(null)
                  setDone(null)
                }}
              >
                Another list
              </Button>
            </>
          }
        >
          <p>Import a corrected list at any time: it changes results and laps, and nothing else.</p>
        </Empty>
      </div>
    )
  if (!work.source)
    return (
      <div className="page page-narrow">
        <ListSourceTicket onTake={work.take} />
      </div>
    )
  const { plan, refusal, understood } = work
  const bad = plan?.problems.filter(isBad).length ?? 0
  const rows = plan?.heats.reduce((n, h) => n + h.rows.length, 0) ?? 0
  const confirm = () => {
    if (!understood || !plan) return
    // Of the board as it is now, against what is on the screen: somebody may have written in between.
    const imported = act(
      (ctx, now) => importList(ctx, now, { list: understood.list, choices: work.choices, shown: plan }),
      `${rowsText(plan.writes.length)} imported`,
    )
    if (imported.ok) setDone({ rows: imported.value })
  }
  return (
    <div className="page page-narrow">
      <Ticket label="Import of a list">
        <TicketHead
          level={1}
          title={work.source.name}
          sub={`${rowsText(rows)} found, ${plan?.writes.length ?? 0} to write`}
        />
        {refusal && (
          <TicketBody>
            <Refused refusal={refusal} acts={<Button onPress={() => work.take(null)}>Another list</Button>} />
          </TicketBody>
        )}
        <ListReading work={work} />
        {plan && <Problems problems={plan.problems} />}
        {plan && <ListPreview heats={plan.heats} />}
        {plan && (
          <TicketBody>
            {bad > 0 && rows > 0 && (
              <Tick
                isSelected={work.choices.leaveOutBad}
                onChange={(leaveOutBad) => work.choose({ leaveOutBad })}
              >
                Import only the good rows
              </Tick>
            )}
            <Button
              look="do"
              wide
              isDisabled={rows === 0 || (bad > 0 && !work.choices.leaveOutBad)}
              onPress={confirm}
            >
              {plan.writes.length > 0 ? `Import ${rowsText(plan.writes.length)}` : 'Nothing new: finish'}
            </Button>
          </TicketBody>
        )}
      </Ticket>
    </div>
  )
}

const rowsText = (n: number) => (n === 1 ? '1 row' : `${n} rows`)

/** Every row that can't be read, by its line; then those that can but look odd. */
function Problems({ problems }: { problems: readonly RowProblem[] }) {
  const bad = problems.filter(isBad)
  const doubts = problems.filter((p) => !isBad(p))
  return (
    <>
      {bad.length > 0 && (
        <LineProblems title={`${rowsText(bad.length)} that can’t be imported`} problems={bad} />
      )}
      {doubts.length > 0 && (
        <LineProblems title={`${rowsText(doubts.length)} to check, imported anyway`} problems={doubts} />
      )}
    </>
  )
}
