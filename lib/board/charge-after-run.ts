import type { BoardView } from './board-view'
import type { MeetingRecord } from './collections'

/** The run of ours that a pack came out of before a moment: what is charged then is what that run took. Undefined when it ran in none. */
export function runBefore(view: BoardView, packId: string, at: number): string | undefined {
  let last: { id: string; frozenAt: number } | undefined
  for (const entry of view.entries.live) {
    if (!entry.carId) continue
    const record = view.runs.get(entry.id)?.record?.v
    if (record?.packId !== packId || record.frozenAt > at) continue
    if (!last || record.frozenAt > last.frozenAt) last = { id: entry.id, frozenAt: record.frozenAt }
  }
  return last?.id
}

/**
 * What a charge that ends full now says of the run that the pack came out of. A charge that was taken off early and begun again is one in parts: their
 * sum is what went in. Null where the charge says nothing of a run: the pack has been full since it, so this one tops it up, or an earlier part went in
 * that nobody gave a figure for. `isOpen`: nobody has entered another figure, which would stand. `isFirst`: nothing went in before this charge.
 */
export function chargeAfterRun(
  view: BoardView,
  charge: MeetingRecord<'charges'>,
  chargedMah: number,
): { runId: string; mah: number; isOpen: boolean; isFirst: boolean } | null {
  const startedAt = charge.startedAt?.v
  if (!charge.packId || !startedAt) return null
  const runId = runBefore(view, charge.packId, startedAt)
  const from = view.runs.get(runId)?.record?.v?.frozenAt
  if (runId === undefined || from === undefined) return null
  const percent = view.packs.get(charge.packId)?.chargePercent
  if (percent?.v === 100 && percent.at > from) return null
  const isBetween = (stamp: { at: number } | undefined) =>
    stamp !== undefined && stamp.at > from && stamp.at <= startedAt
  // A record that was begun again holds what its first part put in until this one ends; that it was begun again shows in its emptied stop.
  const isPart = (c: MeetingRecord<'charges'>) =>
    c.id === charge.id
      ? (c.stoppedAt?.at ?? 0) > from
      : c.packId === charge.packId && (isBetween(c.stoppedAt) || isBetween(c.chargedMah))
  const parts = view.charges.live.filter(isPart)
  if (parts.some((c) => !isBetween(c.chargedMah))) return null
  const earlier = parts.reduce((sum, c) => sum + (c.chargedMah?.v ?? 0), 0)
  const known = view.runs.get(runId)?.chargeBackMah?.v ?? null
  return {
    runId,
    mah: earlier + chargedMah,
    isOpen: known === null || known === earlier,
    isFirst: parts.length === 0,
  }
}
