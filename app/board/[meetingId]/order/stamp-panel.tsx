'use client'
import { useBoard, useNow, useEditContext, useSettle, useNameOf, useDerived } from '@/app/sync'
import { useState } from 'react'
import { canWrite, takeBackFinish, takeBackStart, type Heat } from '@/lib/board'
import { raceSecondsOf, stampingNow, forecastNow } from '@/lib/card'
import {
  Button,
  Confirm,
  Countdown,
  Dialog,
  durationText,
  HelpNote,
  Note,
  Ticket,
  TicketHead,
  timeText,
} from '@/app/ui'
import { ShiftDialog } from '@/app/meeting/shift-dialog'
import { heatName } from '@/app/meeting/heat-name'
import { MissingStamps } from './missing-stamps'
import { StampTimeDialog } from './stamp-time-dialog'
import { useStampCommands } from './use-stamp-commands'
import { useStamps } from './use-stamps'

type Sheet = { what: 'take-back' | 'correct' | 'early' | 'too' | 'delay'; heat: Heat }

/** What is on the track, and one key for the stamp that comes next: stamps move the whole day. */
export function StampPanel() {
  const view = useBoard()
  const now = useNow(5_000)
  const ctx = useEditContext()
  const settle = useSettle()
  const nameOf = useNameOf()
  const forecast = useDerived(forecastNow)
  const stamping = useDerived(stampingNow)
  const { running, next, expected, last, missing } = stamping
  const [sheet, setSheet] = useState<Sheet | null>(null)
  const close = () => setSheet(null)
  const stamps = useStamps(expected)
  const may = expected !== null && canWrite(ctx, 'meeting', 'heats', expected.heat.id, 'startedAt')
  const mayDelay = next !== null && canWrite(ctx, 'meeting', 'heats', next.id, 'plannedStart')

  const press = () => {
    if (!expected || stamps.isLocked) return
    const { kind, heat } = expected
    if (kind === 'start') stamps.start(heat)
    else if (stamps.isEarly(heat)) setSheet({ what: 'early', heat })
    else stamps.finish(heat)
  }
  const key = expected && (expected.kind === 'start' ? startWord(expected.heat) : finishWord(expected.heat))
  useStampCommands({
    key: may && !stamps.isLocked ? key : null,
    press,
    delay: mayDelay ? () => setSheet({ what: 'delay', heat: next }) : null,
    correct: last && may ? () => setSheet({ what: 'correct', heat: last }) : null,
    takeBack: last && may ? () => setSheet({ what: 'take-back', heat: last }) : null,
  })
  const takeBack = (heat: Heat) =>
    settle(
      heat.finishedAt?.v
        ? takeBackFinish(ctx, { heatId: heat.id })
        : takeBackStart(ctx, view, { heatId: heat.id }),
      'Stamp removed',
    )
  return (
    <Ticket label="On the track">
      <TicketHead
        title={running ? heatName(view, running) : 'Nothing on the track'}
        sub={
          running
            ? `started ${timeText(running.startedAt?.v ?? 0)} by ${nameOf(running.startedAt?.by)}`
            : last
              ? `last: ${heatName(view, last)}`
              : 'the first stamp starts the day'
        }
        stub={<Clock running={running} next={next} />}
      />
      {forecast.silentS > 0 && expected && may && (
        <Note tone="hot">
          No stamp for {durationText(forecast.silentS * 1000)} past the time of heat {next?.number ?? '?'}. Is
          it on the track, or is the event on hold? Until somebody stamps it, every time may be off by that
          much.
        </Note>
      )}
      <div className="ticket-body no-print">
        {expected && (
          <Button look="do" wide isDisabled={!may} isLocked={stamps.isLocked} onPress={press}>
            {key}
          </Button>
        )}
        <div className="btn-row">
          {running && next && may && (
            <Button look="quiet" onPress={() => setSheet({ what: 'too', heat: next })}>
              Start heat {next.number} too
            </Button>
          )}
          {mayDelay && (
            <Button look="quiet" onPress={() => setSheet({ what: 'delay', heat: next })}>
              Insert a delay
            </Button>
          )}
          {last && may && (
            <>
              <Button look="quiet" onPress={() => setSheet({ what: 'correct', heat: last })}>
                Correct the start
              </Button>
              <Button look="quiet" onPress={() => setSheet({ what: 'take-back', heat: last })}>
                Remove the stamp
              </Button>
            </>
          )}
          <HelpNote about="What a stamp does">
            One tap when a heat starts or finishes moves every later time on every phone. The start also saves
            what the team’s cars run with. A wrong stamp can be corrected, or removed by a manager or by the
            person who made it. After each stamp the button pauses for a few seconds.
          </HelpNote>
        </div>
      </div>
      <MissingStamps missing={missing} may={may} />
      {sheet?.what === 'take-back' && (
        <Confirm
          title="Remove the stamp?"
          isOpen
          onOpenChange={(open) => !open && close()}
          act="Remove it"
          onConfirm={() => takeBack(sheet.heat)}
        >
          {sheet.heat.finishedAt?.v
            ? `The finish of ${heatName(view, sheet.heat)} will be removed. The heat is then on the track again.`
            : `The start of ${heatName(view, sheet.heat)} will be removed, and its run records with it.`}
        </Confirm>
      )}
      {sheet?.what === 'early' && (
        <Confirm
          title={`Heat ${sheet.heat.number ?? ''} already finished?`}
          isOpen
          onOpenChange={(open) => !open && close()}
          act="It was stopped. Stamp the finish"
          onConfirm={() => stamps.finish(sheet.heat)}
        >
          It started {durationText(ctx.clock.now() - (sheet.heat.startedAt?.v ?? 0))} ago, and its race lasts{' '}
          {durationText(raceSecondsOf(view, sheet.heat) * 1000)}.
        </Confirm>
      )}
      {sheet?.what === 'too' && running && (
        <Dialog
          title={`Heat ${running.number ?? ''} is still on the track`}
          isOpen
          onOpenChange={(open) => !open && close()}
          acts={(done) => (
            <>
              <Button onPress={done}>Cancel</Button>
              <Button
                look="do"
                onPress={() => {
                  stamps.start(sheet.heat)
                  done()
                }}
              >
                {startWord(sheet.heat)} too
              </Button>
            </>
          )}
        >
          <p>
            Start heat {sheet.heat.number} too? Heat {running.number} will have no finish. You can enter it
            later under “Missing stamps”.
          </p>
        </Dialog>
      )}
      {sheet?.what === 'correct' && (
        <StampTimeDialog
          title={`When did heat ${sheet.heat.number ?? ''} start?`}
          label="Start"
          act="Correct the start"
          at={sheet.heat.startedAt?.v ?? now}
          note="What the cars ran with stays as recorded. Only the time changes."
          onClose={close}
          onSave={(at) => stamps.start(sheet.heat, at)}
        />
      )}
      {sheet?.what === 'delay' && (
        <ShiftDialog
          heat={sheet.heat}
          title={`A delay before heat ${sheet.heat.number ?? ''}`}
          isOpen
          onOpenChange={(o) => !o && close()}
        />
      )}
    </Ticket>
  )
}

const startWord = (heat: Heat) => `Heat ${heat.number ?? '?'} starts now`
const finishWord = (heat: Heat) => `Heat ${heat.number ?? '?'} finished`

/** The race clock, or the time left to the next start. */
function Clock({ running, next }: { running: Heat | null; next: Heat | null }) {
  const view = useBoard()
  const forecast = useDerived(forecastNow)
  const now = useNow(5_000)
  if (running?.startedAt?.v)
    return (
      <Countdown
        to={running.startedAt.v + raceSecondsOf(view, running) * 1000}
        of="race"
        what="end of the race clock"
        note=""
      />
    )
  if (!next) return null
  return (
    <Countdown
      to={forecast.heats.get(next.id)?.startAt ?? now}
      of="start"
      what={`start of heat ${next.number ?? ''}`}
      tenths={false}
      note={next.number ?? ''}
    />
  )
}
