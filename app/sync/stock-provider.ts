import { WebsocketProvider } from 'y-websocket'
import { READS_PACKED } from '@/lib/sync/frames'
import type { ProviderFactory, RoomProvider } from './room-provider'
import { unpackInOrder } from './unpack-in-order'

/**
 * The stock y-websocket provider for `/sync/<room>`. Its own channel between tabs stays off: what it carries would be unknown to this tab's
 * list of unsaved fields. Tabs meet in the device's store instead.
 */
export function stockProvider(origin: string): ProviderFactory {
  const unpacking = unpackingSocket()
  return (room, doc) =>
    new WebsocketProvider(`${origin.replace(/^http/, 'ws')}/sync`, room, doc, {
      connect: false,
      disableBc: true,
      maxBackoffTime: 4000,
      ...(unpacking && { WebSocketPolyfill: unpacking, params: READS_PACKED }),
    }) as unknown as RoomProvider
}

/** [S28] Null in a browser that can't unpack: it gets every frame as it is. */
const unpackingSocket = (): typeof WebSocket | null =>
  typeof DecompressionStream === 'undefined'
    ? null
    : class extends WebSocket {
        constructor(...address: ConstructorParameters<typeof WebSocket>) {
          super(...address)
          unpackInOrder(this)
        }
      }
