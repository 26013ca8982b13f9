'use client'
import { useBoard, useEditContext, useSettle, useNameOf, SavedMark } from '@/app/sync'
import { canWrite, joinId, signCheck } from '@/lib/board'
import { checklistsOf, runName, type ChecklistStatus, type RunInfo } from '@/lib/card'
import { CautionText, Tick, Ticket, TicketHead, timeText } from '@/app/ui'

/** The lists of the car's next run, and the after-run list of its last one, signed item by item. */
export function CardChecklists({ run, last }: { run: RunInfo | undefined; last: RunInfo | undefined }) {
  const view = useBoard()
  const before = run ? checklistsOf(view, run.runId, ['before-staging', 'inspection']) : []
  const after = last ? checklistsOf(view, last.runId, ['after-run']) : []
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
      {last && after.map((list) => <List key={list.checklistId} run={last} list={list} />)}
      {run && before.map((list) => <List key={list.checklistId} run={run} list={list} />)}
    </Ticket>
  )
}

function List({ run, list }: { run: RunInfo; list: ChecklistStatus }) {
  const ctx = useEditContext()
  const settle = useSettle()
  const nameOf = useNameOf()
  const done = list.items.length - list.open
  return (
    <details className="check-list" open={list.open > 0 && list.kind !== 'after-run'}>
      <summary>
        <b>{list.name}</b>{' '}
        <span className="small">
          {runName(run)}, {done} of {list.items.length} signed
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
                  !canWrite(ctx, 'meeting', 'checks', recordId, 'signed') || !!item.fact?.missing.length
                }
                onChange={(isDone) =>
                  void settle(
                    signCheck(ctx, {
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
                      {nameOf(item.signed.by)} {timeText(item.signed.at)}{' '}
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
