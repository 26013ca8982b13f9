'use client'
import { useEffect, useMemo } from 'react'
import type { ProjectionBasis } from '@/lib/card'
import { Ticket, TicketBody, TicketHead } from '@/app/ui'
import { ThreadNote } from '@/app/threads/thread-note'
import { useAsked } from '@/app/threads/use-desk'
import { TrackPicture, type TrackSide } from './track-picture'
import type { WhatIfDesk } from './use-what-if-desk'

export interface TrackPartProps {
  basis: ProjectionBasis
  /** The basis as JSON. */
  groundKey: string
  desk: WhatIfDesk
  /** From what it is projected: `what is assigned`. */
  from: string
  size: 'small' | 'large'
  /** What was said of a piece, by its number in driving order. */
  said?: ReadonlyMap<number, string>
}

/** A car's lap on the drawn track. Nothing where no lap can be projected or drawn: the projections beside it say what is lacking. */
export default function TrackPart({ basis, groundKey, desk, from, size, said }: TrackPartProps) {
  const { answer, failed, retry, stale } = useAsked(desk, 'trace')
  const { segments } = basis
  const canLap = segments !== null && basis.lacks.length === 0
  useEffect(() => {
    if (canLap) desk.ask('trace', JSON.parse(groundKey) as ProjectionBasis, groundKey)
  }, [canLap, desk, groundKey])
  const sides = useMemo(
    () =>
      answer && typeof answer !== 'string'
        ? ([{ trace: answer.trace }] as const satisfies readonly TrackSide[])
        : null,
    [answer],
  )
  if (!canLap || (!answer && !failed)) return null
  return (
    <Ticket label="On the track">
      <TicketHead
        title="On the track"
        sub={stale ? 'working on the latest change' : `projected from ${from}, not measured`}
      />
      {failed && <ThreadNote why={failed} retry={retry} />}
      {typeof answer === 'string' && <p className="ticket-body small">No lap: {answer}</p>}
      {sides && (
        <TicketBody>
          <TrackPicture segments={segments} sides={sides} size={size} said={said} />
        </TicketBody>
      )}
    </Ticket>
  )
}
