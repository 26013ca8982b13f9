'use client'
import { useEffect, useMemo } from 'react'
import { canWrite } from '@/lib/board'
import type { CardGround } from '@/lib/card'
import { figureText, withUnit } from '@/lib/core/figure-text'
import { inSpeedUnit, speedDigits, type SpeedUnit } from '@/lib/core/speed-unit'
import { changesOf, type Effect, type Suggestion } from '@/lib/suggestions'
import { useBoard, useEditContext } from '@/app/sync'
import { ThreadNote } from '@/app/threads/thread-note'
import { useAsked } from '@/app/threads/use-desk'
import { Caution, Ticket, TicketBody, TicketHead, useSpeedUnit } from '@/app/ui'
import { ProposeChange } from './propose-change'
import { ThumbPart } from './thumb-part'
import type { WhatIfDesk } from '@/app/card/use-what-if-desk'

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
  const state = useAsked(desk, 'suggest')
  const { basis, key } = ground
  const view = useBoard()
  const may = canWrite(useEditContext(), 'meeting', 'proposals', 'new', 'value')
  const changes = useMemo(() => changesOf(view, carId, basis), [view, carId, basis])
  const asked = `${key}|${JSON.stringify(changes)}`
  const canAsk = isReady && basis.lacks.length === 0 && basis.segments !== null
  useEffect(() => {
    if (canAsk) desk.ask('suggest', { basis, changes }, asked)
  }, [desk, canAsk, asked, basis, changes])
  const found = state.answer ?? []
  return (
    <Ticket id="suggestions" tone="calm" label="Suggestions">
      <TicketHead
        title="Next change"
        sub={state.stale ? 'working on the latest change' : 'Simulated, not measured'}
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
              ? 'It needs the lap. What is missing is listed with the projections.'
              : state.answer === null
                ? 'Simulating each change …'
                : 'Nothing to suggest: no other value of this card is likely to help within what motor and pack can take.'}
          </p>
        </TicketBody>
      )}
      {found.length > 0 && !may && (
        <p className="ticket-body small">Guests can only watch. The crew and the drivers propose.</p>
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
  const { change } = s
  const value = (x: number) => withUnit(figureText(x), change.unit)
  const effects = s.effects.map((e) => effectText(e, speeds))
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
          ? 'Nothing is learned from this car’s runs yet: it rests on the model alone.'
          : `Rests on ${s.runs === 1 ? '1 run' : `${s.runs} runs`} of this car. Each ± is half of a 90% interval.`}
      </p>
      {s.caution === 'can' && (
        <p>This runs the motor hotter. Read the can after two minutes, before a whole race.</p>
      )}
      {(s.aim === 'cooler' || s.caution === 'can') && <Caution kind="can" />}
      <ProposeChange
        carId={carId}
        change={change}
        why={`${s.reason} Projected: ${effects.join('; ')}.`}
        look="do"
        stale={stale}
      />
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
