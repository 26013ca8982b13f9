'use client'
import { canWrite, joinId, signCheck } from '@/lib/board'
import { checklistsOf, type RunInfo } from '@/lib/card'
import { CautionText, Tick, Ticket, TicketHead, TicketSection, timeText } from '../../../../ui'
import type { RaceDay } from '../../use-race-day'

/** The lists of the car's next run, signed item by item. */
export function CardChecklists({ day, run }: { day: RaceDay; run: RunInfo }) {
  const lists = checklistsOf(day.view, run.runId, ['before-staging', 'inspection', 'after-run'])
  return (
    <Ticket id="checklists" label="Checklists">
      <TicketHead title="Checklists" sub={`heat ${run.heat.number ?? '?'}, ${run.round?.name ?? ''}`} />
      {lists.length === 0 && (
        <p className="ticket-body small">
          The kit has no checklist for before staging, inspection or after the run.
        </p>
      )}
      {lists.map((list) => (
        <section key={list.checklistId} aria-label={list.name}>
          <TicketSection
            title={list.name}
            aside={
              <span className="num">
                {list.items.length - list.open} of {list.items.length}
              </span>
            }
          />
          <ol className="px-4">
            {list.items.map((item) => (
              <li key={item.id}>
                <Tick
                  isSelected={!!item.signed}
                  isDisabled={!canWrite(day.ctx, 'meeting', 'checks', joinId(run.runId, item.id), 'signed')}
                  onChange={(done) =>
                    void day.settle(signCheck(day.ctx, { scopeId: run.runId, itemId: item.id, done }))
                  }
                  detail={
                    item.signed ? `${day.nameOf(item.signed.by)} ${timeText(item.signed.at)}` : undefined
                  }
                >
                  {item.text}
                </Tick>
                {item.caution && !item.signed && <CautionText>{item.caution}</CautionText>}
              </li>
            ))}
          </ol>
        </section>
      ))}
    </Ticket>
  )
}
