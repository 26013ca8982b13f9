import type { BoardEditor } from './join/kit-people'
import type { UpgradeHandler } from './http/upgrade-listener'

/** What the composition root needs of the sync. */
export interface BoardSync extends BoardEditor {
  handleUpgrade: UpgradeHandler
  stats(): { rooms: number; sockets: number }
  close(): Promise<void>
}
