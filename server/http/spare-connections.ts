import type { IncomingMessage, Server } from 'node:http'
import type { Socket } from 'node:net'

/** How many connections without a seat on the board one address may hold open: a pit behind one router has some six a phone. */
const PER_ADDRESS = 512
/** How often a request that comes too slowly is looked for, ms. */
export const SLOW_REQUESTS_EVERY_MS = 2_000

/** [S25] Connections that only wait cost their own address: past its share each further one is ended, and nobody else's. */
export function spareConnections(server: Server, perAddress = PER_ADDRESS): void {
  /** Ports of the other side by address: over TLS the socket that is upgraded is not the one that connected. */
  const open = new Map<string, Set<number>>()
  const release = (address: string, port: number) => {
    const ports = open.get(address)
    ports?.delete(port)
    if (ports?.size === 0) open.delete(address)
  }
  server.on('connection', (socket: Socket) => {
    const { remoteAddress: address = '', remotePort: port = 0 } = socket
    const ports = open.get(address) ?? new Set()
    if (ports.size >= perAddress) return void socket.destroy()
    open.set(address, ports.add(port))
    socket.once('close', () => release(address, port))
  })
  // A seat on the board is counted by the sync.
  server.on('upgrade', ({ socket }: IncomingMessage) =>
    release(socket.remoteAddress ?? '', socket.remotePort ?? 0),
  )
}
