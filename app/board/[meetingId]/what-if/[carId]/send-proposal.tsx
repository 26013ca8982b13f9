'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useEditContext, useSettle } from '@/app/sync'
import { useState } from 'react'
import { canWrite, proposeValue } from '@/lib/board'
import { settingText } from '@/lib/core/setting-text'
import { Button, FormField, LinkButton, Note, Ticket, TicketBody, TicketHead, useToasts } from '@/app/ui'
import type { TrialState } from './use-trial'

/** The trial goes to the card as proposals, one per value, with a reason; the manager or the driver takes or leaves each. */
export function SendProposal({ carId, trial }: { carId: string; trial: TrialState }) {
  const ctx = useEditContext()
  const settle = useSettle()
  const meetingId = useMeetingId()
  const [why, setWhy] = useState('')
  const toasts = useToasts()
  const may = canWrite(ctx, 'meeting', 'proposals', 'new', 'value')
  const { changed } = trial
  const parts = Object.keys(trial.parts)
  const send = () => {
    const reason = why.trim()
    if (!reason) return
    let sent = 0
    for (const { parameter, value } of changed) {
      const edit = { carId, parameterId: parameter.id, value, why: reason }
      if (!settle(proposeValue(ctx, edit))) break
      sent++
    }
    if (sent === changed.length) {
      setWhy('')
      trial.reset()
      toasts.say(`${sent === 1 ? '1 value' : `${sent} values`} proposed to the card`)
    }
  }
  return (
    <Ticket label="Send to the card" id="send">
      <TicketHead title="Send to the card" sub="as a proposal, for the manager or the driver to decide" />
      <TicketBody>
        {changed.length === 0 ? (
          <p className="small">Change a value first.</p>
        ) : (
          <ul className="ruled" aria-label="Proposed values">
            {changed.map((c) => (
              <li key={c.parameter.id} className="py-1">
                {c.parameter.label}{' '}
                <span className="num">
                  {settingText(c.today)} → <b>{settingText(c.value, c.parameter.unit)}</b>
                </span>
              </li>
            ))}
          </ul>
        )}
        {parts.length > 0 && (
          <p className="small">
            Another {parts.join(', ')} is not a card value. Change it on the card itself; that opens its
            follow-ups.
          </p>
        )}
        {trial.refusal && <Note tone="hot">One value of the trial is not possible. Correct it first.</Note>}
        <FormField
          label="Why?"
          hint="Required, so the others can judge it."
          value={why}
          onChange={setWhy}
          maxLength={400}
          isDisabled={!may || changed.length === 0}
          onEnter={send}
        />
        <div className="btn-row">
          <Button
            look="do"
            isDisabled={!may || changed.length === 0 || !why.trim() || trial.refusal !== null}
            onPress={send}
          >
            Propose {changed.length === 1 ? 'it' : `all ${changed.length || ''}`.trim()}
          </Button>
          <LinkButton href={`/board/${meetingId}/card/${carId}#proposals`}>The card</LinkButton>
        </div>
        {!may && <p className="small">Guests can only watch. The crew and the drivers propose.</p>}
      </TicketBody>
    </Ticket>
  )
}
