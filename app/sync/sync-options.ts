import type { ClientStore } from './client-store'
import type { ProviderFactory } from './room-provider'
import type { SessionAnswer } from './sync-snapshot'

export interface SyncClientOptions {
  store: ClientStore
  createProvider: ProviderFactory
  /** The name of the page's own build; empty in development. */
  build?: string
  /** Asks the server who we are; never rejects. */
  askSession: () => Promise<SessionAnswer>
  device?: () => number
  /** ms between questions while the server can't be reached. */
  askAgainAfter?: number
}
