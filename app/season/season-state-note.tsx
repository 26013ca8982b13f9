'use client'
import type { SeasonLooked } from './use-season-look'

/** How much of the season a part of a page rests on, where that is not all of it. */
export function SeasonStateNote({ looked: { isRead, away, isOnline, trouble } }: { looked: SeasonLooked }) {
  const text = trouble
    ? `Past meetings can’t be read: ${trouble}.`
    : !isRead
      ? 'Reading past meetings'
      : away.length > 0
        ? missingText(away, isOnline)
        : ''
  return (
    <p className="small" role="status">
      {text}
    </p>
  )
}

/** With network they are on their way. */
function missingText(away: SeasonLooked['away'], isOnline: boolean): string {
  const [first, ...others] = away
  const isOne = others.length === 0
  const what = isOne ? (first?.name ?? 'One meeting') : `${away.length} meetings`
  const is = isOne ? 'is' : 'are'
  return isOnline
    ? `${what} ${is} still loading. What you see here will grow.`
    : `${what} ${is} not on this phone yet: ${isOne ? 'it is' : 'they are'} missing here until there is a connection.`
}
