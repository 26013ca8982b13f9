import { createServer as createHttpServer, type Server } from 'node:http'
import { createServer as createHttpsServer } from 'node:https'
import type { AddressInfo } from 'node:net'
import type { Duplex } from 'node:stream'
import type { Logger } from 'pino'
import type { DatabaseError } from '@/drizzle/database-error'
import type { Clock } from '@/lib/core/clock'
import { AttemptThrottle } from '@/lib/join/attempt-throttle'
import { originsOf } from './addresses'
import type { BoardSync } from './board-sync'
import type { Settings } from './env'
import { createApiHandler } from './http/api-handler'
import { readHealth } from './http/health'
import { createRequestListener } from './http/request-listener'
import { SLOW_REQUESTS_EVERY_MS, spareConnections } from './http/spare-connections'
import { archiveRoutes } from './http/routes/archive-routes'
import { calendarRoutes } from './http/routes/calendar-routes'
import { crewRoutes } from './http/routes/crew-routes'
import { historyRoute } from './http/routes/history-route'
import { joinRoutes } from './http/routes/join-routes'
import { noticeRoutes } from './http/routes/notice-routes'
import { photoRoutes } from './http/routes/photo-routes'
import { RequestTurns } from './http/request-turns'
import { TokenBuckets } from './http/token-buckets'
import { createUpgradeListener } from './http/upgrade-listener'
import { CalendarFeeds } from './join/calendar-feeds'
import { CrewDesk } from './join/crew-desk'
import { Invitations } from './join/invitations'
import { JoinDesk } from './join/join-desk'
import type { Sessions } from './join/live-session'
import { People } from './join/people'
import { secureRandom } from './join/secret-hash'
import { SlowAnswers } from './join/slow-answers'
import { SqlSessions } from './join/sql-sessions'
import { LateScreens } from './late-screens'
import { PhotoStore } from './photos/photo-store'
import type { RunningScreens } from './screens'
import { openStore } from './storage/open-store'
import type { Store } from './storage/store'
import { Budgets } from './sync/budgets'
import { realTimers, type Timers } from './sync/timers'

/** How soon a change by another process (the admin command) is noticed. */
const POLL_MS = 500
/** Open requests and sockets get this long to end when the server stops. */
const GRACE_MS = 3_000

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
  createSync: (parts: {
    store: Store
    sessions: Sessions
    clock: Clock
    log: Logger
    budgets: Budgets
  }) => BoardSync
  /** Starts the screens once the port is known; null serves API and socket only. */
  startScreens: ((port: number) => Promise<RunningScreens>) | null
  /** [P1] Another process serves this board's database now, or it is not as it was left: this one must end. */
  onOver?: (e: DatabaseError) => void
  /** Runs before the first request is answered: what must be on the board by then. */
  prepare?: (parts: { sync: BoardSync; people: People }) => Promise<void>
}

export interface RunningServer {
  port: number
  /** Origins under which the board is reached: phones' first, this machine's own last. */
  origins: string[]
  invitations: Invitations
  people: People
  /** What was found and done when the database was opened, in words. */
  told: string[]
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
  const { client, store, told, openReader, stopTending } = await openStore({
    ...settings,
    now: clock.now(),
    timers,
    warn: (e) => log.warn({ err: e }, 'the write-ahead log could not be looked after'),
    onOver: (e) => {
      log.error({ reason: e.message }, 'this process may no longer write')
      inputs.onOver?.(e)
    },
  })
  for (const line of told) log.warn(line)
  const undo: (() => Promise<void> | void)[] = [() => client.close(), stopTending]
  const unwind = async () => {
    for (const step of undo.splice(0).reverse()) await step()
  }
  try {
    const people = new People(client, clock)
    const invitations = new Invitations(client, clock, secureRandom)
    const sessions = new SqlSessions(client, clock, secureRandom, steady)
    const budgets = new Budgets(steady)
    const sync = inputs.createSync({ store, sessions, clock, budgets, log: log.child({ part: 'sync' }) })
    undo.push(() => sync.close())
    const joinParts = { client, clock, people, invitations, sessions, board: sync }
    const joinDesk = new JoinDesk({
      ...joinParts,
      throttle: new AttemptThrottle(),
      slow: new SlowAnswers(timers.after),
      steady,
    })
    const crewDesk = new CrewDesk(joinParts)
    await inputs.prepare?.({ sync, people })

    const slow = { connectionsCheckingInterval: SLOW_REQUESTS_EVERY_MS }
    const secured = tls ? createHttpsServer({ ...tls, ...slow, minVersion: 'TLSv1.2' }) : null
    const server: Server = secured ?? createHttpServer(slow)
    spareConnections(server)
    Object.assign(server, { headersTimeout: 15_000, requestTimeout: 30_000, maxHeadersCount: 100 })
    const sockets = upgradedSockets(server)
    let port = settings.port
    const scheme = tls ? 'https' : 'http'
    const origins = () => originsOf(scheme, port, settings.host)
    const screens = inputs.startScreens && new LateScreens()
    const startedAt = steady()
    const secure = tls !== null
    const photos = new PhotoStore(client, clock)
    const api = createApiHandler({
      routes: [
        ...joinRoutes({ joinDesk, crewDesk, sessions, clock }),
        ...crewRoutes({ crewDesk, invitations, clock, origins }),
        historyRoute(store, timers),
        ...noticeRoutes(settings.dataFolder),
        ...photoRoutes({ photos, board: sync, steady }),
        ...archiveRoutes({
          client,
          openReader,
          board: sync,
          photos,
          clock,
          timers,
          dataFolder: settings.dataFolder,
          warn: (e) => log.warn({ err: e }, 'an archive could not be sent whole'),
        }),
        ...calendarRoutes({
          feeds: new CalendarFeeds(client, clock, secureRandom),
          board: sync,
          clock,
          steady,
          origins,
        }),
      ],
      sessions,
      steady,
      buckets: new TokenBuckets(120, 20),
      turns: new RequestTurns(budgets, timers),
      log,
      secure,
    })
    const { allowedHosts, dataFolder } = settings
    const health = () =>
      readHealth({
        client,
        steady,
        dataFolder,
        version: inputs.version,
        startedAt,
        stats: () => sync.stats(),
      })
    // The listeners stand before the port opens, while the screens take seconds more: a phone that knocks in between would hang unanswered, and
    // with its one socket still connecting it would not knock again.
    server.on(
      'request',
      createRequestListener({
        api,
        screens: screens?.handle ?? null,
        health,
        log,
        secure,
        dev,
        allowedHosts,
      }),
    )
    server.on(
      'upgrade',
      createUpgradeListener(
        (req, socket, head) => sync.handleUpgrade(req, socket, head),
        dev && screens ? screens.upgrade : null,
        allowedHosts,
      ),
    )
    port = await listen(server, settings)
    undo.push(() => endServer(server, sockets, () => sync.close()))
    const running = await inputs.startScreens?.(port)
    if (running) {
      undo.push(() => running.close())
      screens?.arrive(running)
    }
    undo.push(
      sessions.poll(
        POLL_MS,
        // Said once; while the database is away the sync says so.
        onceInARow(steady, (e) => log.warn({ err: e }, 'could not look for changes by other processes')),
      ),
    )
    return {
      port,
      origins: origins(),
      invitations,
      people,
      told,
      useCertificate: (next) => secured?.setSecureContext({ ...next, minVersion: 'TLSv1.2' }),
      stop: unwind,
    }
  } catch (e) {
    await unwind()
    throw e
  }
}

/** Passes on the first of those that come close after one another. */
function onceInARow(steady: () => number, report: (e: unknown) => void): (e: unknown) => void {
  let at = -Infinity
  return (e) => {
    if (steady() - at > 10 * POLL_MS) report(e)
    at = steady()
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
