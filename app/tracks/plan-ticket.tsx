import type { TrackSegment } from '@/lib/board'
import type { TrackSketch } from '@/lib/card'
import { Note, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { closingWords, hintWords } from './closing-words'
import { TrackMap } from './track-map'

const HINTS_SHOWN = 4

/** The lap from above, whether it closes, and where a typo may be when it does not. */
export function PlanTicket({
  sketch,
  segments,
  isStale,
  current,
}: {
  /** Of the last drawing that could be; null before there is one. */
  sketch: TrackSketch | null
  segments: readonly TrackSegment[]
  isStale: boolean
  current: number | null
}) {
  return (
    <Ticket label="Plan">
      <TicketHead
        title="From above"
        sub={
          isStale
            ? 'from the last drawing that could be driven'
            : sketch
              ? 'the arrow is the start; numbers match the list'
              : 'appears with the first piece'
        }
      />
      {sketch && <TrackMap sketch={sketch} current={current} />}
      <div aria-live="polite">
        {sketch && !sketch.closes && (
          <Note tone="hot">
            <p>{closingWords(sketch)}</p>
            {sketch.hints.length > 0 && (
              <>
                <p>Any one of these would close it:</p>
                <ul className="closing-hints">
                  {sketch.hints.slice(0, HINTS_SHOWN).map((h) => (
                    <li key={`${h.index} ${h.field}`}>{hintWords(h, sketch, segments[h.index] ?? {})}</li>
                  ))}
                </ul>
              </>
            )}
          </Note>
        )}
        {sketch && (
          <TicketBody>
            {sketch.closes && <p>{closingWords(sketch)}</p>}
            <p>
              <span className="num">{sketch.lengthM.toFixed(1)}</span> m: {sketch.straights} straights (the
              longest <span className="num">{sketch.longestStraightM.toFixed(1)}</span> m) and{' '}
              {sketch.corners} corners.
            </p>
            {sketch.guessed && (
              <p className="small">
                Corners without a direction are turned whichever way closes the lap best.
              </p>
            )}
            {!sketch.closes && (
              <p className="small">
                The lap can still be projected from lengths, radii and arcs. Jumps and camber are not in the
                plan.
              </p>
            )}
          </TicketBody>
        )}
      </div>
    </Ticket>
  )
}
