'use client'
import { useEffect, useRef } from 'react'
import { useServerClock, useNow } from '../sync/hooks'
import { everyFrame, everyInterval } from './ticks'
import { countdownText, durationText, timeText } from './time-text'
import { writeText } from './write-text'

export interface CountdownProps {
  /** The moment, ms since the epoch on the server's clock. */
  to: number
  /** What happens then, as in `to staging`. */
  what: string
  tenths?: boolean
}

/** Where the digits have a box of fixed width: the usual one, one for a call that is late, one for a day. */
const widthOf = (face: string): 'late' | 'day' | undefined =>
  face.length <= 8 ? undefined : face.length <= 10 ? 'late' : 'day'

/**
 * Time left to a moment on the server's clock, the same on every phone to a tenth of a second, or turning with the clock's own second. The running digits are written past React
 * (ten renders a second would cost battery) and hidden from screen readers, which get a sentence that changes once a minute.
 */
export function Countdown({ to, what, tenths = true }: CountdownProps) {
  const clock = useServerClock()
  const digits = useRef<HTMLSpanElement>(null)
  const now = useNow(30_000)

  useEffect(() => {
    let shown = ''
    const draw = () => {
      const text = countdownText(to - clock.now(), to, tenths)
      if (!digits.current || text === shown) return
      writeText(digits.current, text)
      shown = text
      const width = widthOf(text)
      if (width) digits.current.dataset['width'] = width
      else delete digits.current.dataset['width']
    }
    draw()
    return tenths ? everyFrame(draw) : everyInterval(clock, 1000, draw)
  }, [to, tenths, clock])

  const left = to - now
  const face = countdownText(left, to, tenths)
  return (
    <span className="countdown">
      <span
        ref={digits}
        className="num"
        data-width={widthOf(face)}
        aria-hidden="true"
        suppressHydrationWarning
      >
        {face}
      </span>
      <span className="visually-hidden">
        {left >= 0
          ? `${durationText(left)} ${what}, at ${timeText(to)}`
          : `${durationText(-left)} late ${what}`}
      </span>
    </span>
  )
}
