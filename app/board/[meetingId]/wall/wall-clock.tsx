'use client'
import { useEffect, useRef } from 'react'
import { useServerClock } from '@/app/sync'
import { everyInterval } from '@/app/ui/ticks'
import { timeText } from '@/app/ui'
import { writeText } from '@/app/ui/write-text'

/** The time of day on the server's clock, to the minute. */
export function WallClock() {
  const clock = useServerClock()
  const face = useRef<HTMLSpanElement>(null)
  useEffect(() => {
    const draw = () => {
      if (face.current) writeText(face.current, timeText(clock.now()))
    }
    draw()
    return everyInterval(clock, 60_000, draw)
  }, [clock])
  return (
    <span className="wall-clock num" role="timer" aria-label="Board time">
      <span ref={face}>--:--</span>
    </span>
  )
}
