import type { IncomingMessage } from 'node:http'
import { createServer, type Server } from 'node:https'
import type { AddressInfo } from 'node:net'
import type { Duplex } from 'node:stream'
import { parseUrl } from '../http/request-listener'
import { speakFor } from '../http/spoken-for'
import type { Led } from './board-turns'
import { ADDRESS_HEADER, answering, NO_BOARD_HEADER, SECURE_HEADER, type PeerAddress } from './peer-line'

/** What is on its way to phones, that they are to come back above all, has so long to get there. */
const GRACE_MS = 500

/**
 * Takes what other processes pass on, for the board that is served here. It passes nothing on itself, so that nothing can go around in a circle.
 * @throws when the port can't be had.
 */
export async function startPeerServer(
  { host, port }: PeerAddress,
  key: Buffer,
  board: () => Pick<Led, 'api' | 'upgrade'> | null,
): Promise<{ port: number; close: () => Promise<void> }> {
  const server: Server = createServer(answering(key))
  const sockets = new Set<Duplex>()
  server.on('secureConnection', (socket) => {
    sockets.add(socket)
    socket.once('close', () => sockets.delete(socket))
    // A process that is killed in the middle of a handshake must not end this one.
    socket.on('error', () => socket.destroy())
  })
  server.on('request', (req, res) => {
    const url = parseUrl(req.url)
    const here = board()
    if (here === null || !url?.pathname.startsWith('/api/')) {
      res.writeHead(503, { [NO_BOARD_HEADER]: '1', Connection: 'close' })
      return void res.end()
    }
    hear(req)
    void here.api(req, res, url)
  })
  server.on('upgrade', (req: IncomingMessage, socket: Duplex, head: Buffer) => {
    const here = board()
    if (here === null)
      return void socket.end(
        `HTTP/1.1 503 Service Unavailable\r\n${NO_BOARD_HEADER}: 1\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`,
      )
    hear(req)
    here.upgrade(req, socket, head)
  })
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject)
    server.listen({ host, port }, () => {
      server.removeListener('error', reject)
      resolve()
    })
  })
  return {
    port: (server.address() as AddressInfo).port,
    close: () =>
      new Promise((resolve) => {
        const force = setTimeout(() => {
          for (const socket of sockets) socket.destroy()
        }, GRACE_MS)
        server.close(() => {
          clearTimeout(force)
          resolve()
        })
        server.closeIdleConnections()
      }),
  }
}

function hear(req: IncomingMessage): void {
  const { [ADDRESS_HEADER]: address, [SECURE_HEADER]: secure } = req.headers
  speakFor(req, { address: String(address ?? 'unknown'), secure: secure === '1' })
}
