import type { BoardEditor } from './join/kit-people'
import type { UpgradeHandler } from './http/upgrade-listener'

/** What the composition root needs of the sync. */
export interface BoardSync extends BoardEditor {
  handleUpgrade: UpgradeHandler
  /** `readOnly`: why nothing can be written at the moment. */
  stats(): { rooms: number; sockets: number; readOnly: string | null }
  close(): Promise<void>
}
