import type { SyncStats } from '../sync/sync-surface'

export const noStats = (): SyncStats => ({
  rooms: 0,
  sockets: 0,
  readOnly: null,
  turns: 0,
  failedCommits: 0,
  edits: { accepted: 0, refused: 0, overwritten: 0 },
  framesRefused: 0,
})

/** Add one board's figures to a sum. */
export function addStats(sum: SyncStats, of: SyncStats): void {
  sum.rooms += of.rooms
  sum.sockets += of.sockets
  sum.readOnly ??= of.readOnly
  sum.turns += of.turns
  sum.failedCommits += of.failedCommits
  sum.framesRefused += of.framesRefused
  for (const outcome of ['accepted', 'refused', 'overwritten'] as const)
    sum.edits[outcome] += of.edits[outcome]
}
