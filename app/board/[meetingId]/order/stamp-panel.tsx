'use client'
import { useState } from 'react'
import { canWrite, stampFinish, stampStart, takeBackFinish, takeBackStart, type Heat } from '@/lib/board'
import { freezeRecord, heatsInOrder, raceSecondsOf } from '@/lib/card'
import {
  Button,
  Confirm,
  Countdown,
  FormField,
  Dialog,
  HelpNote,
  Ticket,
  TicketHead,
  timeText,
} from '../../../ui'
import type { RaceDay } from '../use-race-day'

const heatName = (day: RaceDay, heat: Heat): string =>
  [
    `Heat ${heat.number ?? '?'}`,
    day.view.rounds.get(heat.roundId)?.name,
    day.view.classes.get(heat.classId)?.name,
  ]
    .filter(Boolean)
    .join(', ')

/** What is on the track, what comes next, and the two stamps that move the whole day. */
export function StampPanel({ day }: { day: RaceDay }) {
  const heats = heatsInOrder(day.view).filter((h) => !h.isBreak)
  const running = heats.findLast((h) => h.startedAt?.v && !h.finishedAt?.v)
  const lastDone = heats.findLast((h) => h.startedAt?.v)
  const next = heats[lastDone ? heats.indexOf(lastDone) + 1 : 0]
  const [takingBack, setTakingBack] = useState<Heat | null>(null)
  const [correcting, setCorrecting] = useState<Heat | null>(null)
  const may = (heat: Heat) => canWrite(day.ctx, 'meeting', 'heats', heat.id, 'startedAt')

  const start = (heat: Heat, at = day.ctx.clock.now()) => {
    const records = day.runs
      .filter((r) => r.heat.id === heat.id)
      .map((r) => ({ runId: r.runId, record: freezeRecord(day.view, r, at) }))
    day.settle(
      stampStart(day.ctx, day.view, { heatId: heat.id, at, records }),
      `${heatName(day, heat)} started`,
    )
  }
  const finish = (heat: Heat) =>
    day.settle(
      stampFinish(day.ctx, day.view, { heatId: heat.id, at: day.ctx.clock.now() }),
      `${heatName(day, heat)} finished`,
    )
  const takeBack = (heat: Heat) =>
    day.settle(
      heat.finishedAt?.v
        ? takeBackFinish(day.ctx, { heatId: heat.id })
        : takeBackStart(day.ctx, day.view, { heatId: heat.id }),
      'Stamp taken back',
    )

  return (
    <Ticket label="On the track">
      <TicketHead
        title={running ? heatName(day, running) : 'Nothing on the track'}
        sub={
          running
            ? `started ${timeText(running.startedAt?.v ?? 0)} by ${day.nameOf(running.startedAt?.by)}`
            : lastDone
              ? `last: ${heatName(day, lastDone)}`
              : 'the first stamp starts the day'
        }
        stub={
          running?.startedAt?.v ? (
            <>
              <Countdown
                to={running.startedAt.v + raceSecondsOf(day.view, running) * 1000}
                what="race clock"
              />
              <small>race clock</small>
            </>
          ) : next ? (
            <>
              <Countdown
                to={day.forecast.heats.get(next.id)?.startAt ?? day.now}
                what={`to heat ${next.number ?? ''}`}
                tenths={false}
              />
              <small>to heat {next.number}</small>
            </>
          ) : undefined
        }
      />
      <div className="ticket-body no-print">
        <div className="btn-row">
          {running && (
            <Button look="do" isDisabled={!may(running)} onPress={() => finish(running)}>
              Heat {running.number} finished
            </Button>
          )}
          {next && (
            <Button look={running ? 'plain' : 'do'} isDisabled={!may(next)} onPress={() => start(next)}>
              Heat {next.number} starts now
            </Button>
          )}
          {lastDone && may(lastDone) && (
            <>
              <Button look="quiet" onPress={() => setCorrecting(lastDone)}>
                Correct the start
              </Button>
              <Button look="quiet" onPress={() => setTakingBack(lastDone)}>
                Take the stamp back
              </Button>
            </>
          )}
          <HelpNote about="What a stamp does">
            One tap when a heat starts or finishes moves every later time on every phone. The start also
            freezes what the team’s cars run with. A wrong stamp can be corrected, or taken back by who gave
            it or a manager.
          </HelpNote>
        </div>
      </div>
      <Confirm
        title="Take the stamp back?"
        isOpen={takingBack !== null}
        onOpenChange={(open) => !open && setTakingBack(null)}
        act="Take it back"
        onConfirm={() => takingBack && takeBack(takingBack)}
      >
        {takingBack?.finishedAt?.v
          ? `The finish of ${takingBack ? heatName(day, takingBack) : ''} is removed; the heat counts as on the track again.`
          : `The start of ${takingBack ? heatName(day, takingBack) : ''} is removed, and the run records it froze are released.`}
      </Confirm>
      {correcting && (
        <CorrectStart
          key={correcting.id}
          day={day}
          heat={correcting}
          onClose={() => setCorrecting(null)}
          onSave={(at) => start(correcting, at)}
        />
      )}
    </Ticket>
  )
}

function CorrectStart({
  day,
  heat,
  onClose,
  onSave,
}: {
  day: RaceDay
  heat: Heat
  onClose: () => void
  onSave: (at: number) => void
}) {
  const stamped = heat.startedAt?.v ?? day.now
  const [text, setText] = useState(timeText(stamped))
  const at = timeOn(stamped, text)
  return (
    <Dialog
      title={`When did heat ${heat.number ?? ''} start?`}
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <Button
          look="do"
          isDisabled={at === null}
          onPress={() => {
            if (at !== null) onSave(at)
            onClose()
          }}
        >
          Correct the start
        </Button>
      )}
    >
      <FormField
        label="Start, hours and minutes"
        type="time"
        value={text}
        onChange={setText}
        refusal={
          at === null
            ? { field: 'Start', value: text, reason: 'is not a time of day', remedy: 'Enter it as 14:20.' }
            : null
        }
      />
      <p className="small">What the cars ran with stays as it was frozen; only the time moves.</p>
    </Dialog>
  )
}

/** The instant of a time of day on the day of `like`; null when it is not one. */
function timeOn(like: number, text: string): number | null {
  const m = /^(\d{1,2}):(\d{2})(?::(\d{2}))?$/.exec(text.trim())
  if (!m) return null
  const [h, min, s] = [Number(m[1]), Number(m[2]), Number(m[3] ?? 0)]
  if (h > 23 || min > 59 || s > 59) return null
  const at = new Date(like)
  at.setHours(h, min, s, 0)
  return at.getTime()
}
