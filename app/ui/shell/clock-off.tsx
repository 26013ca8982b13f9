'use client'
import { useSyncExternalStore } from 'react'
import { useSyncClient } from '@/app/sync'
import { durationText } from '@/app/ui/time-text'

/** Nobody sets a phone by the second. ms */
const OFF_MS = 2 * 60_000

/** [S22] This phone's clock is wrong: the board goes by the server's, but the phone's own lock screen and alarms do not. */
export function ClockOff() {
  const clock = useSyncClient()?.clock
  // In whole minutes: the offset is measured anew all the time.
  const offMin = useSyncExternalStore(
    clock?.onChange.bind(clock) ?? never,
    () => Math.round((clock?.measured?.offsetMs ?? 0) / 60_000),
    () => 0,
  )
  const ms = offMin * 60_000
  if (Math.abs(ms) < OFF_MS) return null
  return (
    <div className="banner" role="status">
      <span>
        <b>
          This phone’s clock is {durationText(Math.abs(ms))} {ms > 0 ? 'slow' : 'fast'}.
        </b>{' '}
        Everything here goes by the server’s time. The phone’s own alarms and lock screen do not.
      </span>
    </div>
  )
}

const never = () => () => undefined
