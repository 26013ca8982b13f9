import { createServer as createHttpServer, type Server } from 'node:http'
import { createServer as createHttpsServer } from 'node:https'
import type { AddressInfo } from 'node:net'
import type { Duplex } from 'node:stream'
import type { Logger } from 'pino'
import type { DatabaseError } from '@/drizzle/database-error'
import type { Clock } from '@/lib/core/clock'
import { originsOf } from './addresses'
import type { BoardSync } from './board-sync'
import type { Settings } from './env'
import { readHealth } from './http/health'
import { isOwnHost } from './http/host-check'
import { answerMetrics, Metrics } from './http/metrics'
import { createRequestListener, type PlaceOf } from './http/request-listener'
import { SLOW_REQUESTS_EVERY_MS, spareConnections } from './http/spare-connections'
import { createUpgradeListener } from './http/upgrade-listener'
import type { People } from './join/people'
import { hostBoard, type BoardHost } from './host-board'
import { LateScreens } from './late-screens'
import type { RunningScreens } from './screens'
import { serveBoard, type BoardInputs, type ServedBoard, type SyncParts } from './serve-board'
import type { OpenedStore } from './storage/open-store'
import { realTimers, type Timers } from './sync/timers'
import { hostTeams } from './teams/host-teams'
import { originOf, placeOf } from './teams/hosting'

/** Open requests and sockets get this long to end when the server stops. */
const GRACE_MS = 3_000
const STOPPING = 'the server is stopping'

export interface ServerInputs {
  settings: Settings
  clock: Clock
  /** Durations are measured by it, never by the wall clock, which may jump. */
  timers?: Timers
  log: Logger
  version: string
  dev: boolean
  /** Key and certificate in PEM; null serves plain HTTP. */
  tls: { key: string; cert: string } | null
  createSync: (parts: SyncParts) => BoardSync
  /** Starts the screens once the port is known; null serves API and socket only. */
  startScreens: ((port: number) => Promise<RunningScreens>) | null
  /** [P1] Another process serves this board's database now, or it is not as it was left: this one must end. */
  onOver?: (e: DatabaseError) => void
  /** The script of the thread that makes archives; without it they are made in this one. */
  archiveThread?: string | undefined
  /** Runs before the first request is answered: what must be on the board by then. */
  prepare?: (parts: { sync: BoardSync; people: People }) => Promise<void>
}

export interface RunningServer {
  port: number
  /** Origins under which the board is reached: phones' first, this machine's own last. */
  origins: string[]
  /** The board, while it is this process that serves it. */
  board: () => ServedBoard | null
  /** Serve new connections with this key and certificate. */
  useCertificate(tls: { key: string; cert: string }): void
  /** Take no more work, tell every socket, write what is not yet written, close the files. Safe to call twice. */
  stop(): Promise<void>
}

/** The port is taken, or this process may not have it. */
export class PortError extends Error {
  override readonly name = 'PortError'
}

/** Construct the server's parts and start listening. @throws DatabaseError, PortError */
export async function startServer(inputs: ServerInputs): Promise<RunningServer> {
  const { settings, clock, timers = realTimers, log, dev, tls } = inputs
  const { steady } = timers
  const { allowedHosts, metricsToken, teams } = settings
  let port = settings.port
  let isStopping = false
  const secure = tls !== null || teams?.outside?.scheme === 'https'
  const origins = () =>
    teams ? [originOf(teams, null, { secure, port })] : originsOf(tls ? 'https' : 'http', port, settings.host)
  const whereIs: PlaceOf = teams
    ? (name) => {
        const place = placeOf(name, teams.base)
        return place?.kind === 'team' ? 'board' : (place?.kind ?? null)
      }
    : (name) => (isOwnHost(name, allowedHosts) ? 'board' : null)
  const metrics = new Metrics(() => host.stats())
  const onOver = (e: DatabaseError) => {
    log.error({ reason: e.message }, 'this process may no longer write')
    inputs.onOver?.(e)
  }
  const serve = (opened: OpenedStore, own: Partial<BoardInputs> = {}) =>
    serveBoard(opened, {
      settings,
      clock,
      timers,
      log,
      secure,
      origins,
      onCommit: metrics.committed,
      createSync: inputs.createSync,
      prepare: inputs.prepare,
      archiveThread: inputs.archiveThread,
      ...own,
    })
  const host: BoardHost = teams
    ? await hostTeams({ settings, teams, clock, timers, log, secure, port: () => port, onOver, serve })
    : await hostBoard({ settings, now: clock.now(), timers, log, secure, onOver, serve })
  const undo: (() => Promise<void> | void)[] = [() => host.close()]
  const unwind = async () => {
    isStopping = true
    for (const step of undo.splice(0).reverse()) await step()
  }
  try {
    const slow = { connectionsCheckingInterval: SLOW_REQUESTS_EVERY_MS }
    const secured = tls ? createHttpsServer({ ...tls, ...slow, minVersion: 'TLSv1.2' }) : null
    const server: Server = secured ?? createHttpServer(slow)
    spareConnections(server)
    Object.assign(server, { headersTimeout: 15_000, requestTimeout: 30_000, maxHeadersCount: 100 })
    const sockets = upgradedSockets(server)
    const screens = inputs.startScreens && new LateScreens()
    const startedAt = steady()
    const whyNotWritable = () => (isStopping ? STOPPING : host.whyNotReady())
    // The listeners stand before the port opens, while the screens take seconds more: a phone that knocks in between would hang unanswered, and
    // with its one socket still connecting it would not knock again.
    server.on(
      'request',
      createRequestListener({
        api: host.api,
        screens: screens?.handle ?? null,
        health: () =>
          readHealth({
            uptimeS: (steady() - startedAt) / 1000,
            hasNotice: host.hasNotice(),
            version: inputs.version,
            stats: host.stats() ?? { rooms: 0, sockets: 0 },
            reason: whyNotWritable(),
          }),
        whyNotReady: whyNotWritable,
        metrics: (req, res) => answerMetrics(metrics, metricsToken, req, res),
        log,
        secure,
        dev,
        placeOf: whereIs,
      }),
    )
    server.on(
      'upgrade',
      createUpgradeListener(host.upgrade, dev && screens ? screens.upgrade : null, whereIs),
    )
    port = await listen(server, settings)
    undo.push(() => endServer(server, sockets, () => host.closeSockets()))
    const running = await inputs.startScreens?.(port)
    if (running) {
      undo.push(() => running.close())
      screens?.arrive(running)
    }
    return {
      port,
      origins: origins(),
      board: host.board,
      useCertificate: (next) => secured?.setSecureContext({ ...next, minVersion: 'TLSv1.2' }),
      stop: unwind,
    }
  } catch (e) {
    await unwind()
    throw e
  }
}

function listen(server: Server, { port, host }: Settings): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (e: NodeJS.ErrnoException) => reject(portError(e, port, host)))
    server.listen({ port, ...(host !== undefined && { host }) }, () => {
      server.removeAllListeners('error')
      resolve((server.address() as AddressInfo).port)
    })
  })
}

function portError(e: NodeJS.ErrnoException, port: number, host: string | undefined): Error {
  switch (e.code) {
    case 'EADDRINUSE':
      return new PortError(
        `Port ${port} is taken by another program (maybe another board). Close it, or choose another port: PORT=${port + 1} npm start`,
        { cause: e },
      )
    case 'EACCES':
      return new PortError(`Port ${port} is reserved. Choose one from 1024 up: PORT=4310 npm start`, {
        cause: e,
      })
    case 'EADDRNOTAVAIL':
    case 'ENOTFOUND':
      return new PortError(
        `HOST is “${host}”, which is not an address of this machine. Leave it out, or set one that is.`,
        {
          cause: e,
        },
      )
    default:
      return e
  }
}

/** Sockets that have left HTTP; the server no longer counts them among its connections, yet waits for them when it closes. */
function upgradedSockets(server: Server): Set<Duplex> {
  const sockets = new Set<Duplex>()
  server.on('upgrade', (_req, socket: Duplex) => {
    sockets.add(socket)
    socket.once('close', () => sockets.delete(socket))
  })
  return sockets
}

/** Take no new connections, let the sync say goodbye and write, give the rest a moment, then end what is left. */
async function endServer(
  server: Server,
  sockets: Set<Duplex>,
  closeSync: () => Promise<void>,
): Promise<void> {
  const closed = new Promise<void>((resolve) => server.close(() => resolve()))
  server.closeIdleConnections()
  await closeSync()
  const force = setTimeout(() => {
    server.closeAllConnections()
    for (const socket of sockets) socket.destroy()
  }, GRACE_MS)
  await closed
  clearTimeout(force)
}
