'use client'
import type { SeasonLooked } from './use-season-look'

/** How much of the season a part of a page rests on, where that is not all of it. */
export function SeasonStateNote({ looked: { isRead, away, trouble } }: { looked: SeasonLooked }) {
  const text = trouble
    ? `Past meetings can’t be read: ${trouble}.`
    : !isRead
      ? 'Reading past meetings'
      : away.length > 0
        ? away.length === 1
          ? `${away[0]?.name ?? 'One meeting'} is not on this phone yet: it is missing here until there is a connection.`
          : `${away.length} meetings are not on this phone yet: they are missing here until there is a connection.`
        : ''
  return (
    <p className="small" role="status">
      {text}
    </p>
  )
}
