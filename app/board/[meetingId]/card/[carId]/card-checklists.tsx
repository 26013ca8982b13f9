'use client'
import { canWrite, joinId, signCheck } from '@/lib/board'
import { checklistsOf, type ChecklistStatus, type RunInfo } from '@/lib/card'
import { CautionText, SavedMark, Tick, Ticket, TicketHead, timeText } from '../../../../ui'
import type { RaceDay } from '../../use-race-day'

/** The lists of the car's next run, and the after-run list of its last one, signed item by item. */
export function CardChecklists({
  day,
  run,
  last,
}: {
  day: RaceDay
  run: RunInfo | undefined
  last: RunInfo | undefined
}) {
  const before = run ? checklistsOf(day.view, run.runId, ['before-staging', 'inspection']) : []
  const after = last ? checklistsOf(day.view, last.runId, ['after-run']) : []
  const open = [...after, ...before].reduce((n, l) => n + l.open, 0)
  return (
    <Ticket id="checklists" label="Checklists">
      <TicketHead
        title="Checklists"
        sub={open ? `${open} ${open === 1 ? 'item' : 'items'} to sign` : 'nothing left to sign'}
      />
      {before.length + after.length === 0 && (
        <p className="ticket-body small">
          {run
            ? 'No checklist in the kit for before staging, inspection or after the run.'
            : 'No coming run, nothing to check.'}
        </p>
      )}
      {last && after.map((list) => <List key={list.checklistId} day={day} run={last} list={list} />)}
      {run && before.map((list) => <List key={list.checklistId} day={day} run={run} list={list} />)}
    </Ticket>
  )
}

function List({ day, run, list }: { day: RaceDay; run: RunInfo; list: ChecklistStatus }) {
  const done = list.items.length - list.open
  return (
    <details className="check-list" open={list.open > 0 && list.kind !== 'after-run'}>
      <summary>
        <b>{list.name}</b>{' '}
        <span className="small">
          heat {run.heat.number ?? '?'}, {done} of {list.items.length} signed
        </span>
      </summary>
      <ol>
        {list.items.map((item) => {
          const recordId = joinId(run.runId, item.id)
          return (
            <li key={item.id}>
              <Tick
                isSelected={!!item.signed}
                isDisabled={
                  !canWrite(day.ctx, 'meeting', 'checks', recordId, 'signed') || !!item.fact?.missing.length
                }
                onChange={(isDone) =>
                  void day.settle(
                    signCheck(day.ctx, {
                      scopeId: run.runId,
                      itemId: item.id,
                      covers: item.fact?.covers,
                      done: isDone,
                    }),
                  )
                }
                detail={
                  item.signed && (
                    <>
                      {day.nameOf(item.signed.by)} {timeText(item.signed.at)}{' '}
                      <SavedMark doc="meeting" collection="checks" recordId={recordId} field="signed" />
                    </>
                  )
                }
              >
                {item.text}
              </Tick>
              {item.fact && item.fact.missing.length > 0 && (
                <p className="small check-fact">
                  The board does not show it yet: {item.fact.missing.join('; ')}
                </p>
              )}
              {item.caution && !item.signed && <CautionText>{item.caution}</CautionText>}
            </li>
          )
        })}
      </ol>
    </details>
  )
}
