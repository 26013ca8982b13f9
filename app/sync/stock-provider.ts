import { WebsocketProvider } from 'y-websocket'
import { READS_PACKED } from '@/lib/sync/frames'
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
      params: READS_PACKED,
      maxBackoffTime: 4000,
    }) as unknown as RoomProvider
