import { WebsocketProvider } from 'y-websocket'
import type { ProviderFactory, RoomProvider } from './room-provider'

/**
 * The stock y-websocket provider for `/sync/<room>`. Its own channel between tabs stays off: what it carries would be unknown to this tab's
 * list of unsaved fields. Tabs meet in the device's store instead.
 */
export const stockProvider =
  (origin: string): ProviderFactory =>
  (room, doc) =>
    new WebsocketProvider(`${origin.replace(/^http/, 'ws')}/sync`, room, doc, {
      connect: false,
      disableBc: true,
      maxBackoffTime: 4000,
    }) as unknown as RoomProvider
