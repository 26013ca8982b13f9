'use client'
import { useBoard, useNameOf, useEditContext, useSettle, SavedMark } from '@/app/sync'
import { canWrite, joinId, signCheck, signFollowUp } from '@/lib/board'
import { followUpsOf, type FollowUpStatus } from '@/lib/card'
import { Button, CautionText, Note, Tick, Ticket, TicketHead, timeText } from '@/app/ui'

/** What changes on this car call for, open ones first. */
export function CardFollowUps({ carId }: { carId: string }) {
  const view = useBoard()
  const nameOf = useNameOf()
  const called = followUpsOf(view, carId).filter((f) => f.state !== 'not-called')
  const open = called.filter((f) => f.state === 'open')
  const signed = called.filter((f) => f.state === 'signed')
  return (
    <Ticket id="follow-ups" tone={open.length ? 'hot' : 'plain'} label="Follow-ups">
      <TicketHead title="Follow-ups" sub={open.length ? `${open.length} open` : 'none open'} />
      {called.length === 0 && (
        <p className="ticket-body small">
          When a value changes, the rules in the kit open the checks it calls for.
        </p>
      )}
      <ul className="ruled">
        {open.map((f) => (
          <li key={f.ruleId} data-follow-up={f.ruleId}>
            <OpenFollowUp carId={carId} followUp={f} />
          </li>
        ))}
        {signed.map((f) => (
          <li key={f.ruleId} className="ticket-body small">
            {f.name}: {f.byReading ? 'read back' : 'signed'} by {nameOf(f.signed?.by)}{' '}
            {f.signed && timeText(f.signed.at)}
          </li>
        ))}
      </ul>
    </Ticket>
  )
}

function OpenFollowUp({ carId, followUp: f }: { carId: string; followUp: FollowUpStatus }) {
  const ctx = useEditContext()
  const nameOf = useNameOf()
  const settle = useSettle()
  const recordId = joinId(carId, f.ruleId)
  const may = canWrite(ctx, 'meeting', 'followUps', recordId, 'signed')
  const left = f.items.filter((i) => !i.signed).length
  return (
    <div className="ticket-body">
      <div>
        <b>{f.name}</b>{' '}
        <SavedMark doc="meeting" collection="followUps" recordId={recordId} field={['opened', 'signed']} />
        {f.opened && (
          <span className="small block">
            {f.opened.v}, {nameOf(f.opened.by)} {timeText(f.opened.at)}
            {f.signedBefore && ' · open again: it was signed before that change'}
          </span>
        )}
      </div>
      {f.caution && <CautionText>{f.caution}</CautionText>}
      {f.items.length > 0 && (
        <ol>
          {f.items.map((item) => (
            <li key={item.id}>
              <Tick
                isSelected={!!item.signed}
                isDisabled={!may}
                onChange={(done) =>
                  void settle(signCheck(ctx, { scopeId: carId, itemId: item.id, covers: f.covers, done }))
                }
                detail={item.signed ? `${nameOf(item.signed.by)} ${timeText(item.signed.at)}` : item.caution}
              >
                {item.text}
              </Tick>
            </li>
          ))}
        </ol>
      )}
      {f.byReading ? (
        <p className="small">
          Closes by itself once the car was switched off and on again and every changed value was read back.
        </p>
      ) : may ? (
        <Button
          look="do"
          isDisabled={left > 0}
          onPress={() =>
            settle(signFollowUp(ctx, { carId, ruleId: f.ruleId, covers: f.covers }), `${f.name}: signed`)
          }
        >
          {left > 0 ? `${left} left to do before you sign` : 'Done, sign it'}
        </Button>
      ) : (
        <Note>A mechanic or a manager signs it.</Note>
      )}
    </div>
  )
}
