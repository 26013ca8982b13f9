import type { BoardEditor } from './join/kit-people'
import type { UpgradeHandler } from './http/upgrade-listener'
import type { SyncStats } from './sync/sync-surface'

/** What the composition root needs of the sync. */
export interface BoardSync extends BoardEditor {
  handleUpgrade: UpgradeHandler
  stats(): SyncStats
  close(): Promise<void>
}
