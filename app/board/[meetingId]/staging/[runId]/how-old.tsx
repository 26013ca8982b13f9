'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useNow, useSyncPart } from '@/app/sync'
import { useLastHeard } from '@/app/sync/last-heard'
import { agoText, timeText } from '@/app/ui'

/** How old what this screen shows is: a driver must not accept what the mechanics have changed since. */
export function HowOld() {
  const online = useSyncPart((s) => s.online)
  const now = useNow(60_000)
  const heardAt = useLastHeard(useMeetingId())
  if (online)
    return (
      <p className="how-old small">
        Up to date with the server at <span className="num">{timeText(now)}</span>
      </p>
    )
  return (
    <p className="how-old how-old-late" role="status">
      <b>No connection.</b>{' '}
      {heardAt === null
        ? 'This is the copy on this phone. Others may have changed the car since.'
        : `This is as of ${timeText(heardAt)}, ${agoText(heardAt, now)}. Others may have changed the car since.`}
    </p>
  )
}
