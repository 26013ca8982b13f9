import type { Decoder } from 'lib0/decoding'
import type { Encoder } from 'lib0/encoding'
import type { Awareness } from 'y-protocols/awareness'
import type * as Y from 'yjs'

export type FrameHandler = (
  encoder: Encoder,
  decoder: Decoder,
  provider: never,
  emitSynced: boolean,
  messageType: number,
) => void

/** What we use of the stock websocket provider; tests bring their own. */
export interface RoomProvider {
  readonly messageHandlers: FrameHandler[]
  readonly awareness: Awareness
  readonly wsconnected: boolean
  readonly ws: { send(data: Uint8Array): void } | null
  on(event: 'status', listener: (e: { status: 'connected' | 'disconnected' | 'connecting' }) => void): unknown
  on(event: 'sync', listener: (synced: boolean) => void): unknown
  on(event: 'closed', listener: (e: { code: number; reason: string }) => void): unknown
  /** Every end of a socket; `closed` is one that ends the reconnecting too. */
  on(event: 'connection-close', listener: (e: { code: number } | null) => void): unknown
  on(event: 'connection-error', listener: (e: unknown) => void): unknown
  connect(): void
  disconnect(): void
  destroy(): void
}

export type ProviderFactory = (room: string, doc: Y.Doc) => RoomProvider
