'use client'
import type { Run } from '@/lib/board'
import { SavedMark, useBoard, useNameOf, useNow } from '@/app/sync'
import { whenText } from '@/app/ui'

type StampOf = { v: unknown; by: string; at: number }

/** Who entered a line of the debrief, and when. Nothing while it is empty. */
export function ByLine({ runId, fields }: { runId: string; fields: readonly (keyof Run & string)[] }) {
  const view = useBoard()
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const run = view.runs.get(runId)
  const stamps = fields.flatMap((field) => {
    const stamp = run?.[field] as StampOf | undefined
    return stamp && stamp.v !== null ? [stamp] : []
  })
  const last = stamps.reduce<StampOf | null>((a, b) => (a && a.at >= b.at ? a : b), null)
  if (!last) return null
  return (
    <p className="small by-line">
      {nameOf(last.by)}, {whenText(last.at, now)}{' '}
      <SavedMark doc="meeting" collection="runs" recordId={runId} field={fields} />
    </p>
  )
}
