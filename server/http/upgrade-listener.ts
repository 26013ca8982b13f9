import type { IncomingMessage } from 'node:http'
import type { Duplex } from 'node:stream'
import { parseUrl, type PlaceOf } from './request-listener'

export type UpgradeHandler = (req: IncomingMessage, socket: Duplex, head: Buffer) => void

/** Websocket upgrades: `/sync/<room>` to the board's sync, the development server's own to Next, anything else is turned away. */
export function createUpgradeListener(
  sync: UpgradeHandler,
  screens: UpgradeHandler | null,
  placeOf: PlaceOf,
): UpgradeHandler {
  return (req, socket, head) => {
    // A peer that vanishes in the middle of an upgrade must not end the process.
    socket.on('error', () => socket.destroy())
    const path = parseUrl(req.url)?.pathname
    const place = placeOf(req.headers.host)
    if (path === undefined || place === null) return refuseUpgrade(socket, 421)
    if (path.startsWith('/sync/') && place === 'board') return sync(req, socket, head)
    if (screens && path.startsWith('/_next/')) return screens(req, socket, head)
    return refuseUpgrade(socket, 404)
  }
}

function refuseUpgrade(socket: Duplex, status: 404 | 421): void {
  const reason = status === 404 ? 'Not Found' : 'Misdirected Request'
  socket.end(`HTTP/1.1 ${status} ${reason}\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`)
}
