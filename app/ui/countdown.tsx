'use client'
import { useEffect, useRef, type ReactNode } from 'react'
import { useNow, useServerClock } from './clock-context'
import { digitWidth } from './digit-width'
import { everyInterval } from './ticks'
import { countdownText, durationText, timeText } from './time-text'
import { writeText } from './write-text'

const OF = {
  /** The call to staging. */
  call: { passed: 'ago', before: 'to the call', after: 'called' },
  /** The start of a heat: a heat that should run and does not is the day's drift. */
  start: { passed: 'late', before: 'to heat', after: 'heat' },
  /** The race that is on the track. */
  race: { passed: 'over', before: 'race clock', after: 'race clock' },
} as const

/** Nearer than this a tenth of a second says something. ms */
const TENTHS_MS = 60_000

export interface CountdownProps {
  /** The moment, ms since the epoch on the server's clock. */
  to: number
  of: keyof typeof OF
  /** What screen readers hear, as in `call of heat 5`. */
  what: string
  /** What the note under the digits goes on with, as in `heat 5`; without it there is no note. */
  note?: ReactNode
  /** In the last minute before, and the first one after. */
  tenths?: boolean
}

/**
 * Time left to a moment on the server's clock, the same on every phone: it turns with the clock's own second, near the moment with its tenths. The running digits are written past React
 * (ten renders a second would cost battery) and hidden from screen readers, which get a sentence that changes once a minute.
 */
export function Countdown({ to, of, what, note, tenths = true }: CountdownProps) {
  const clock = useServerClock()
  const digits = useRef<HTMLSpanElement>(null)
  const word = useRef<HTMLSpanElement>(null)
  const now = useNow(30_000)
  const { passed, before, after } = OF[of]

  useEffect(() => {
    let shown = ''
    let stopTenths: (() => void) | null = null
    const draw = () => {
      const left = to - clock.now()
      const isNear = tenths && Math.abs(left) < TENTHS_MS
      if (isNear) stopTenths ??= everyInterval(clock, 100, draw)
      else stopTenths = stopTenths && (stopTenths(), null)
      const text = countdownText(left, to, { tenths: isNear, passed })
      if (!digits.current || text === shown) return
      writeText(digits.current, text)
      if (word.current) writeText(word.current, left < 0 ? after : before)
      shown = text
      const width = digitWidth(text)
      if (width === digits.current.dataset['width']) return
      if (width) digits.current.dataset['width'] = width
      else delete digits.current.dataset['width']
    }
    draw()
    const stop = everyInterval(clock, 1000, draw)
    return () => {
      stop()
      stopTenths?.()
    }
  }, [to, tenths, clock, passed, before, after])

  const left = to - now
  const face = countdownText(left, to, { tenths: tenths && Math.abs(left) < TENTHS_MS, passed })
  return (
    <>
      <span className="countdown">
        <span
          ref={digits}
          className="num"
          data-width={digitWidth(face)}
          aria-hidden="true"
          suppressHydrationWarning
        >
          {face}
        </span>
        <span className="visually-hidden">
          {left >= 0
            ? `${durationText(left)} to the ${what}, at ${timeText(to)}`
            : `${what}: ${durationText(-left)} ${passed}`}
        </span>
      </span>
      {note !== undefined && (
        <small>
          <span ref={word} suppressHydrationWarning>
            {left < 0 ? after : before}
          </span>{' '}
          {note}
        </small>
      )}
    </>
  )
}
