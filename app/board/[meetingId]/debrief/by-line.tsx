'use client'
import type { Run } from '@/lib/board'
import { SavedMark } from '@/app/sync'
import { whenText } from '@/app/ui'
import type { RaceDay } from '@/app/meeting/use-race-day'

type StampOf = { v: unknown; by: string; at: number }

/** Who entered a line of the debrief, and when. Nothing while it is empty. */
export function ByLine({
  day,
  runId,
  fields,
}: {
  day: RaceDay
  runId: string
  fields: readonly (keyof Run & string)[]
}) {
  const run = day.view.runs.get(runId)
  const stamps = fields.flatMap((field) => {
    const stamp = run?.[field] as StampOf | undefined
    return stamp && stamp.v !== null ? [stamp] : []
  })
  const last = stamps.reduce<StampOf | null>((a, b) => (a && a.at >= b.at ? a : b), null)
  if (!last) return null
  return (
    <p className="small by-line">
      {day.nameOf(last.by)}, {whenText(last.at, day.now)}{' '}
      <SavedMark doc="meeting" collection="runs" recordId={runId} field={fields} />
    </p>
  )
}
