'use client'
import { useMemo, useState } from 'react'
import type { TrackSegment } from '@/lib/board'
import type { Comparison } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { Ticket, TicketBody, TicketHead } from '@/app/ui'
import { LapTraces } from '@/app/card/lap-traces'
import { TrackPicture, type TrackSide } from '@/app/card/track-picture'

/** Both laps on the drawn track and over their distance, with one place on all of them. */
export function LapPart({
  comparison,
  segments,
  stale,
}: {
  comparison: Comparison | null
  segments: readonly TrackSegment[]
  stale: boolean
}) {
  const [cursorM, setCursor] = useState<number | null>(null)
  const today = comparison?.today
  const trial = comparison?.trial
  const sides = useMemo(
    () =>
      today && trial
        ? ([
            { name: 'today', trace: today },
            { name: 'the trial', trace: trial },
          ] as const satisfies readonly TrackSide[])
        : null,
    [today, trial],
  )
  if (!today || !trial || !sides) return null
  const lap = (s: number) => figureText(s, { digits: 2, unit: 's' })
  const old = stale ? '; of an earlier trial' : ''
  return (
    <>
      <Ticket label="On the track">
        <TicketHead title="On the track" sub={`projected, not measured${old}`} />
        <TicketBody>
          <TrackPicture segments={segments} sides={sides} size="large" cursorM={cursorM} />
        </TicketBody>
      </Ticket>
      <Ticket label="Lap traces">
        <TicketHead
          title="Over the lap"
          sub={`solid line: the trial, ${lap(trial.lapS)}; broken line: today, ${lap(today.lapS)}${old}`}
        />
        <TicketBody>
          <LapTraces today={today} trial={trial} cursorM={cursorM} onCursor={setCursor} />
        </TicketBody>
      </Ticket>
    </>
  )
}
