import { WebSocket } from 'ws'
import { WebsocketProvider } from 'y-websocket'
import * as Y from 'yjs'
import { exportDoc } from '@/lib/board'
import { FRAME } from '@/lib/sync/frames'
import { parseRoomName } from '@/lib/sync/room-name'
import type { JoinedClient, ServerProcess } from './server-process'

/** A stock y-websocket client with somebody's session. */
export function stockClient(server: ServerProcess, client: JoinedClient, room: string) {
  const doc = new Y.Doc()
  class WithCookie extends WebSocket {
    constructor(url: string) {
      super(url, { headers: { cookie: client.cookie, origin: server.origin } })
    }
  }
  const provider = new WebsocketProvider(`${server.origin.replace('http', 'ws')}/sync`, room, doc, {
    WebSocketPolyfill: WithCookie as never,
    disableBc: true,
  })
  // Our own frames: a client that knows nothing of them would only log them.
  for (const type of Object.values(FRAME)) if (type >= 100) provider.messageHandlers[type] = () => undefined
  const synced = new Promise<void>((resolve) => provider.on('sync', (is: boolean) => is && resolve()))
  const close = () => {
    provider.destroy()
    provider.awareness.destroy()
    doc.destroy()
  }
  return { doc, provider, synced, close }
}

/** Nobody joins under a name that stands on the board. */
let readers = 0

/** A room's board as plain JSON, as a newcomer sees it. */
export async function readBoard(server: ServerProcess, room: string) {
  const client = stockClient(server, await server.join('guest', { name: `Reader ${++readers}` }), room)
  await client.synced
  const board = exportDoc(parseRoomName(room)?.kind ?? 'kit', client.doc)
  client.close()
  return board
}
