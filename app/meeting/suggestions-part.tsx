'use client'
import { useEffect, useMemo, useSyncExternalStore } from 'react'
import { useMeetingId } from './use-meeting-id'
import { canWrite, proposeValue } from '@/lib/board'
import type { CardGround } from '@/lib/card'
import { figureText, withUnit } from '@/lib/core/figure-text'
import { inSpeedUnit, speedDigits, type SpeedUnit } from '@/lib/core/speed-unit'
import { changesOf, type Effect, type Suggestion } from '@/lib/suggestions'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { ThreadNote } from '@/app/threads/thread-note'
import { Button, Caution, LinkButton, Ticket, TicketBody, TicketHead, useSpeedUnit } from '@/app/ui'
import { ThumbPart } from './thumb-part'
import type { WhatIfDesk } from '@/app/card/what-if-desk'

/** The next change that what-if stands behind, with its reason and effects; mostly there is none, and that is said. */
export function SuggestionsPart({
  carId,
  ground,
  desk,
  isReady,
}: {
  carId: string
  ground: CardGround
  desk: WhatIfDesk
  /** The card itself is projected: until then the phone has better things to do. */
  isReady: boolean
}) {
  const state = useSyncExternalStore(
    desk.subscribe,
    () => desk.state('suggest'),
    () => desk.state('suggest'),
  )
  const { basis, key } = ground
  const view = useBoard()
  const changes = useMemo(() => changesOf(view, carId, basis), [view, carId, basis])
  const asked = `${key}|${JSON.stringify(changes)}`
  const canAsk = isReady && basis.lacks.length === 0 && basis.segments !== null
  useEffect(() => {
    if (canAsk) desk.ask(asked, { kind: 'suggest', basis, changes })
  }, [desk, canAsk, asked, basis, changes])
  const found = state.answer ?? []
  return (
    <Ticket id="suggestions" tone="calm" label="Suggestions">
      <TicketHead
        title="Next change"
        sub={
          state.stale
            ? 'working on the latest change'
            : 'by what-if over this card’s own ranges, projected, not measured'
        }
      />
      {state.failed && <ThreadNote why={state.failed} retry={state.retry} />}
      {found.map((s) => (
        <OneSuggestion
          key={`${s.change.parameterId} ${s.change.to}`}
          carId={carId}
          suggestion={s}
          stale={state.stale}
        />
      ))}
      {!state.failed && found.length === 0 && (
        <TicketBody>
          <p>
            {basis.lacks.length > 0 || !basis.segments
              ? 'It needs the lap. What is missing stands with the projections.'
              : state.answer === null
                ? 'Simulating each change …'
                : 'Nothing to suggest: no value of this card brings more than its own ± as far as the model knows.'}
          </p>
        </TicketBody>
      )}
      <ThumbPart carId={carId} />
    </Ticket>
  )
}

function OneSuggestion({
  carId,
  suggestion: s,
  stale,
}: {
  carId: string
  suggestion: Suggestion
  stale: boolean
}) {
  const speeds = useSpeedUnit()
  const meetingId = useMeetingId()
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const may = canWrite(ctx, 'meeting', 'proposals', 'new', 'value')
  const { change } = s
  const value = (x: number) => withUnit(figureText(x), change.unit)
  const effects = s.effects.map((e) => effectText(e, speeds))
  const isOpen = view.proposals.live.some(
    (p) =>
      p.carId === carId && p.parameter === change.parameterId && p.value?.v === change.to && !p.outcome?.v,
  )
  const propose = () =>
    settle(
      proposeValue(ctx, {
        carId,
        parameterId: change.parameterId,
        value: change.to,
        why: `${s.reason} Projected: ${effects.join('; ')}.`.slice(0, 400),
      }),
      `${change.label} ${value(change.to)} proposed`,
    )
  return (
    <div className="ticket-body">
      <h3>
        {s.aim === 'cooler' ? 'Cooler motor' : 'Faster lap'}: {change.label}{' '}
        <span className="num">
          {value(change.from)} → <b>{value(change.to)}</b>
        </span>
      </h3>
      <p>{s.reason}</p>
      <ul className="ruled" aria-label="Expected effect">
        {effects.map((text) => (
          <li key={text} className="py-1 num">
            {text}
          </li>
        ))}
      </ul>
      <p className="small">
        {s.runs === 0
          ? 'No run of this car has told anything yet: it rests on the model alone.'
          : `Rests on ${s.runs === 1 ? '1 run' : `${s.runs} runs`} of this car. Each ± is half of a 90 % interval.`}
      </p>
      {(s.aim === 'cooler' || change.caution === 'can') && <Caution kind="can" />}
      <div className="btn-row">
        <LinkButton
          href={`/board/${meetingId}/what-if/${carId}?try=${encodeURIComponent(`${change.parameterId}:${change.to}`)}`}
        >
          Try it
        </LinkButton>
        <Button look="do" isDisabled={!may || isOpen || stale} onPress={propose}>
          {isOpen ? 'Proposed' : 'Propose it'}
        </Button>
      </div>
      {!may && <p className="small">Guests can only watch. The crew and the drivers propose.</p>}
    </div>
  )
}

/** `Mean lap of the race 0.05 ±0.03 s slower` */
function effectText(e: Effect, speeds: SpeedUnit): string {
  const isSpeed = e.unit === 'm/s'
  const size = (x: number) =>
    figureText(isSpeed ? inSpeedUnit(x, speeds) : x, {
      digits: isSpeed ? speedDigits(e.digits, speeds) : e.digits,
    })
  const [less, more] = WORDS[e.key] ?? ['less', 'more']
  return `${e.label} ${size(Math.abs(e.by))} ±${withUnit(size(e.plusMinus), isSpeed ? speeds : e.unit)} ${e.by < 0 ? less : more}`
}
const WORDS: Readonly<Record<string, readonly [string, string]>> = {
  meanLapS: ['faster', 'slower'],
  canC: ['cooler', 'warmer'],
  topMps: ['slower', 'faster'],
}
