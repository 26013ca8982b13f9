'use client'
import { useNameOf, useNow, useSession } from '@/app/sync'
import { shortDayText, timeText } from '@/app/ui'

/** At the foot of a sheet: paper grows old, and does not know it. */
export function PrintedBy() {
  const now = useNow(10_000)
  const nameOf = useNameOf()
  const { personId } = useSession()
  return (
    <p className="small print-only">
      Printed {shortDayText(now)} {timeText(now)} by {nameOf(personId)}. Things may have changed since then:
      the board counts, not the paper.
    </p>
  )
}
