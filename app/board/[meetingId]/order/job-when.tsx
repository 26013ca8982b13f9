import { durationText, shortDayText, timeText } from '@/app/ui'

const DAY_MS = 24 * 3_600_000
/** Closer than this it is late to begin. ms */
const SOON_MS = 5 * 60_000

/** How long is left, and what ends then: the call itself, or the time that it has to be done by. */
export function JobWhen({ at, isCall, now }: { at: number | null; isCall: boolean; now: number }) {
  if (at === null)
    return (
      <span className="job-when">
        <span className="small">no run due</span>
      </span>
    )
  const left = at - now
  if (Math.abs(left) > DAY_MS)
    return (
      <span className="job-when">
        <span className="small">
          {left < 0 && 'was '}
          {shortDayText(at)}
        </span>
      </span>
    )
  return (
    <span className="job-when num" data-late={left < SOON_MS ? '' : undefined}>
      {left < 0 ? durationText(-left) : durationText(left)}
      <small>
        {left < 0 ? (isCall ? 'since call' : 'past due') : `${isCall ? 'call' : 'by'} ${timeText(at)}`}
      </small>
    </span>
  )
}
