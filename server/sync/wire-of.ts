import type { Duplex } from 'node:stream'
import type { WebSocket } from 'ws'
import type { WebSocketLike } from './sync-socket'
import type { Timers } from './timers'

/** What the sync uses of a websocket and of the line below it. Where nothing may be shown any more, it ends instead. */
export function wireOf(ws: WebSocket, line: Duplex, timers: Timers, mayShow: () => boolean): WebSocketLike {
  return {
    send: (data) => (mayShow() ? ws.send(data) : ws.terminate()),
    // Past the websocket, which would frame it anew for each. It holds nothing back that this could overtake: without compression every
    // message goes to the line at once.
    broadcast: (message) => {
      if (!mayShow()) ws.terminate()
      else if (ws.readyState === ws.OPEN) line.write(message.onTheLine)
    },
    close: (code, reason) => {
      ws.close(code, reason)
      // A peer that does not answer the close must not hold the seat.
      timers.after(2_000, () => ws.terminate())
    },
    terminate: () => ws.terminate(),
    ping: () => ws.ping(),
    pause: () => ws.pause(),
    resume: () => ws.resume(),
    get bufferedAmount() {
      return ws.bufferedAmount
    },
  }
}
