import type { Logger } from 'pino'
import type { Clock } from '@/lib/core/clock'
import { AttemptThrottle } from '@/lib/join/attempt-throttle'
import { archiveHere, archiveInThread } from './archive/archive-out'
import type { BoardSync } from './board-sync'
import type { Settings } from './env'
import { createApiHandler } from './http/api-handler'
import { whyNotWritable } from './http/health'
import type { ListenerParts } from './http/request-listener'
import { RequestTurns } from './http/request-turns'
import { archiveRoutes } from './http/routes/archive-routes'
import { calendarRoutes } from './http/routes/calendar-routes'
import { crewRoutes } from './http/routes/crew-routes'
import { historyRoute } from './http/routes/history-route'
import { joinRoutes } from './http/routes/join-routes'
import { noticeRoutes } from './http/routes/notice-routes'
import { photoRoutes } from './http/routes/photo-routes'
import { TokenBuckets } from './http/token-buckets'
import type { UpgradeHandler } from './http/upgrade-listener'
import { CalendarFeeds } from './join/calendar-feeds'
import { CrewDesk } from './join/crew-desk'
import { Invitations } from './join/invitations'
import { JoinDesk } from './join/join-desk'
import type { Sessions } from './join/live-session'
import { People } from './join/people'
import { secureRandom } from './join/secret-hash'
import { SlowAnswers } from './join/slow-answers'
import { SqlSessions } from './join/sql-sessions'
import { PhotoStore } from './photos/photo-store'
import type { OpenedStore } from './storage/open-store'
import type { Store } from './storage/store'
import type { BoardLimits } from './teams/team-limits'
import { Budgets } from './sync/budgets'
import type { SyncStats } from './sync/sync-surface'
import type { Limits } from './sync/limits'
import type { Timers } from './sync/timers'

/** How soon a change by another process (the admin command) is noticed. */
const POLL_MS = 500

export interface SyncParts {
  store: Store
  sessions: Sessions
  clock: Clock
  log: Logger
  budgets: Budgets
  onCommit: (ms: number) => void
  /** Where it is not the server's only board. */
  limits?: Partial<Limits>
  /** [P1] Absent where no other process can judge the board. */
  mayShow?: () => boolean
}

export interface BoardInputs {
  settings: Pick<Settings, 'dataFolder'>
  clock: Clock
  timers: Timers
  log: Logger
  /** Over TLS: cookies get Secure. */
  secure: boolean
  origins: () => string[]
  onCommit: (ms: number) => void
  createSync: (parts: SyncParts) => BoardSync
  /** The script of the thread that makes archives; without it they are made in this one. */
  archiveThread: string | undefined
  /** Runs before the first request is answered: what must be on the board by then. */
  prepare: ((parts: { sync: BoardSync; people: People }) => Promise<void>) | undefined
  /** Where it is not the server's only board. */
  limits?: BoardLimits
  /** How soon a change by another process is noticed, ms. */
  pollMs?: number
}

/** A board on its opened store: whatever is asked of it over HTTP and sockets is answered here. */
export interface ServedBoard {
  api: ListenerParts['api']
  upgrade: UpgradeHandler
  stats(): SyncStats
  /** [P1] Whether this process judges the board still. */
  holds(): boolean
  /** Why nothing can be stored; null when it can. Asks the store. */
  whyNotWritable(): string | null
  invitations: Invitations
  people: People
  /** Tell every socket that its phone has left the crew. */
  endSessions(): void
  /** What was found and done when the database was opened, in words. */
  told: string[]
  /** Store what has arrived and tell every socket to come back. Safe to call twice. */
  closeSockets(): Promise<void>
  /** The same, and give the store back. */
  close(): Promise<void>
}

/** Construct the board's parts over an opened store, which is closed with it, also where this fails. @throws DatabaseError, NotStored */
export async function serveBoard(opened: OpenedStore, inputs: BoardInputs): Promise<ServedBoard> {
  const { client, store, told, source, stopTending } = opened
  const { clock, timers, log, settings, origins, archiveThread, limits, pollMs = POLL_MS } = inputs
  const { steady } = timers
  for (const line of told) log.warn(line)
  const undo: (() => Promise<void> | void)[] = [() => client.close(), stopTending]
  const unwind = async () => {
    for (const step of undo.splice(0).reverse()) await step()
  }
  try {
    const people = new People(client, clock)
    const invitations = new Invitations(client, clock, secureRandom)
    const sessions = new SqlSessions(client, clock, secureRandom, steady)
    const budgets = new Budgets(steady, limits?.time)
    const { onCommit } = inputs
    const sync = inputs.createSync({
      store,
      sessions,
      clock,
      budgets,
      onCommit,
      ...(limits && { limits: limits.sync }),
      ...(opened.holds && { mayShow: opened.holds }),
      log: log.child({ part: 'sync' }),
    })
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
    const photos = new PhotoStore(client, clock, limits?.photoBytes)
    const api = createApiHandler({
      routes: [
        ...joinRoutes({ joinDesk, crewDesk, sessions, clock }),
        ...crewRoutes({ crewDesk, invitations, clock, origins }),
        historyRoute(store, timers),
        ...noticeRoutes(settings.dataFolder),
        ...photoRoutes({ photos, board: sync, steady }),
        ...archiveRoutes({
          client,
          archiveOut: archiveThread ? archiveInThread(archiveThread, source) : archiveHere(source),
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
      secure: inputs.secure,
    })
    undo.push(
      sessions.poll(
        pollMs,
        // Said once; while the database is away the sync says so.
        onceInARow(steady, (e) => log.warn({ err: e }, 'could not look for changes by other processes')),
      ),
    )
    return {
      api,
      upgrade: (req, socket, head) => sync.handleUpgrade(req, socket, head),
      stats: () => sync.stats(),
      holds: opened.holds ?? (() => true),
      whyNotWritable: () => sync.stats().readOnly ?? whyNotWritable(client, settings.dataFolder),
      invitations,
      people,
      endSessions: () => sessions.forgetAll(),
      told,
      closeSockets: () => sync.close(),
      close: unwind,
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
