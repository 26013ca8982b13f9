'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { useState } from 'react'
import { acceptRun, canWrite, sendBack } from '@/lib/board'
import { acceptState, cardRows, runDigest, type RunInfo, heatOfRun } from '@/lib/card'
import { Button, Confirm, HoldButton, LinkButton, Note } from '@/app/ui'
import { SendBack } from './send-back'

/** The driver's word: accept by holding, or send back with a reason. Pinned above the thumb's bar, whatever is still open above it. */
export function Decision({ run, started, openCount }: { run: RunInfo; started: boolean; openCount: number }) {
  const meetingId = useMeetingId()
  const ctx = useEditContext()
  const view = useBoard()
  const settle = useSettle()
  const [sending, setSending] = useState(false)
  const [asking, setAsking] = useState(false)
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, 'accepted')
  const valid = acceptState(view, run) === 'valid'
  // An accept of nothing is mostly a card that was never filled in.
  const isEmpty = cardRows(view, run.carId).every((r) => r.assigned === null)
  if (started) {
    const record = run.run?.record?.v
    const isOwn = canWrite(ctx, 'meeting', 'runs', run.runId, 'feel')
    const debrief = `/board/${meetingId}/debrief/${run.runId}`
    return (
      <>
        <Note>
          {record
            ? `The record of this run was saved at the start, ${record.accepted ? 'with a valid accept' : 'without a valid accept'}. Changes from now on belong to the next run.`
            : 'The heat has started.'}
        </Note>
        <div className="decision no-print">
          {isOwn && (
            <LinkButton look="do" wide href={`${debrief}/said`}>
              How did it run?
            </LinkButton>
          )}
          <LinkButton wide href={debrief}>
            Debrief
          </LinkButton>
        </div>
      </>
    )
  }
  const accept = () =>
    settle(
      acceptRun(ctx, view, { runId: run.runId, digest: runDigest(view, run) }),
      `${run.carName} accepted`,
    )
  const back = (why: string) =>
    settle(sendBack(ctx, view, { runId: run.runId, why }), `${run.carName} sent back`)
  return (
    <>
      {/* While something is open, neither answer is the likely one: both are as big, and neither is filled in. */}
      <div className="decision no-print" data-even={openCount > 0 ? '' : undefined}>
        {!valid && (
          <HoldButton
            look={openCount > 0 ? 'plain' : 'do'}
            onHeld={isEmpty ? () => setAsking(true) : accept}
            isDisabled={!may}
            says={`accept ${run.carName} for ${heatOfRun(run)}`}
          >
            {openCount ? 'Hold to accept as it is' : 'Hold to accept'}
          </HoldButton>
        )}
        <Button wide isDisabled={!may} onPress={() => setSending(true)}>
          Send back with a reason
        </Button>
      </div>
      <div className="ticket-body no-print">
        {!may && <p className="small">The car’s driver or a manager accepts it.</p>}
        {may && !valid && (
          <p className="small">
            Your accept covers every assigned and fitted value, the motor, the speed control, the pack and the
            tires. Any later change to one of them asks for another accept.
          </p>
        )}
        <Confirm
          title="Accept an empty card?"
          isOpen={asking}
          onOpenChange={setAsking}
          act="Accept it empty"
          onConfirm={accept}
        >
          Nothing is assigned on the card of {run.carName}. You would accept whatever is in the car.
        </Confirm>
        <SendBack carName={run.carName} isOpen={sending} onOpenChange={setSending} onSend={back} />
      </div>
    </>
  )
}
