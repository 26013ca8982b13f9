'use client'
import { useBoard, useNow, useEditContext, useNameOf, useDerived } from '@/app/sync'
import { lazy, Suspense, useState } from 'react'
import { canWrite, type Heat } from '@/lib/board'
import { raceSecondsOf, stampingNow, forecastNow } from '@/lib/card'
import { Button, Countdown, durationText, HelpNote, Note, Ticket, TicketHead, timeText } from '@/app/ui'
import { LatePart } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'
import { heatFirst, heatIn, heatInFull } from '@/app/meeting/heat-in-full'
import { MissingStamps } from './missing-stamps'
import type { StampSheet } from './stamp-sheets'
import { startWord } from './start-word'
import { useStampCommands } from './use-stamp-commands'
import { useStamps } from './use-stamps'

// No page opens with a question about a stamp.
const sheets = loadAhead(() => import('./stamp-sheets'))
const StampSheets = lazy(sheets)

/** What is on the track, and one key for the stamp that comes next: stamps move the whole day. */
export function StampPanel() {
  const view = useBoard()
  const ctx = useEditContext()
  const nameOf = useNameOf()
  const forecast = useDerived(forecastNow)
  const stamping = useDerived(stampingNow)
  const { running, next, expected, last, missing } = stamping
  const [sheet, setSheet] = useState<StampSheet | null>(null)
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
  const key =
    expected &&
    (expected.kind === 'start'
      ? startWord(view, expected.heat)
      : `${heatFirst(view, expected.heat)} finished`)
  useStampCommands({
    key: may && !stamps.isLocked ? key : null,
    press,
    delay: mayDelay ? () => setSheet({ what: 'delay', heat: next }) : null,
    correct: last && may ? () => setSheet({ what: 'correct', heat: last }) : null,
    takeBack: last && may ? () => setSheet({ what: 'take-back', heat: last }) : null,
  })
  return (
    <Ticket label="On the track">
      <TicketHead
        title={running ? heatInFull(view, running) : 'Nothing on the track'}
        sub={
          running
            ? `started ${timeText(running.startedAt?.v ?? 0)} by ${nameOf(running.startedAt?.by)}`
            : last
              ? `last: ${heatInFull(view, last)}`
              : 'the first stamp starts the day'
        }
        stub={<Clock running={running} next={next} />}
      />
      {forecast.silentS > 0 && expected && may && (
        <Note tone="hot">
          {next ? heatFirst(view, next) : 'The next heat'} was due {durationText(forecast.silentS * 1000)} ago
          and nobody stamped it. Is it on the track, or is the day on hold? Until it is stamped, every time
          may be off by that much.
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
              Start {heatIn(view, next)} too
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
      {sheet && (
        <Suspense fallback={<LatePart part={sheets} onClose={close} />}>
          <StampSheets sheet={sheet} running={running} stamps={stamps} close={close} />
        </Suspense>
      )}
    </Ticket>
  )
}

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
      what={`start of ${heatIn(view, next)}`}
      tenths={false}
      note={next.number ?? ''}
    />
  )
}
