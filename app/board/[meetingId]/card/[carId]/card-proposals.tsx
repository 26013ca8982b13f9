'use client'
import { useBoard, useEditContext, useSettle, useNameOf } from '@/app/sync'
import { answerProposal, canWrite, parameterOf } from '@/lib/board'
import { settingText } from '@/lib/core/setting-text'
import { Button, Ticket, TicketHead, timeText } from '@/app/ui'

/** Proposals that wait for who may take or leave them. */
export function CardProposals({ carId }: { carId: string }) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const nameOf = useNameOf()
  const open = view.proposals.live.filter((p) => p.carId === carId && p.value && !p.outcome?.v)
  if (open.length === 0) return null
  return (
    <Ticket id="proposals" tone="calm" label="Proposals">
      <TicketHead title="Proposals" sub={`${open.length} to answer`} />
      <ul className="ruled">
        {open.map((p) => {
          const parameter = parameterOf(view, carId, p.parameter ?? '')
          const may = canWrite(ctx, 'meeting', 'proposals', p.id, 'outcome')
          const answer = (outcome: 'taken' | 'left') =>
            settle(
              answerProposal(ctx, view, { proposalId: p.id, outcome }),
              outcome === 'taken' ? 'Proposal applied' : 'Proposal declined',
            )
          return (
            <li key={p.id} className="ticket-body">
              <div>
                <b>
                  {parameter?.label ?? p.parameter} {settingText(p.value?.v, parameter?.unit)}
                </b>
                <span className="small block">
                  {nameOf(p.value?.by)} {p.value && timeText(p.value.at)}
                  {p.value?.why && `: “${p.value.why}”`}
                </span>
              </div>
              <div className="btn-row">
                <Button look="do" isDisabled={!may} onPress={() => answer('taken')}>
                  Apply it
                </Button>
                <Button isDisabled={!may} onPress={() => answer('left')}>
                  Decline it
                </Button>
              </div>
              {!may && <p className="small">A manager or the car’s driver decides.</p>}
            </li>
          )
        })}
      </ul>
    </Ticket>
  )
}
