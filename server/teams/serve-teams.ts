import type { Logger } from 'pino'
import { DatabaseError } from '@/drizzle/database-error'
import type { Clock } from '@/lib/core/clock'
import type { Settings } from '../env'
import type { Led } from '../peers/board-turns'
import { answerTrouble } from '../http/answer-trouble'
import { createApiHandler } from '../http/api-handler'
import { whyNotWritable } from '../http/health'
import { RequestTurns } from '../http/request-turns'
import { hostingRoutes } from '../http/routes/hosting-routes'
import { TokenBuckets } from '../http/token-buckets'
import { secureRandom } from '../join/secret-hash'
import type { BoardInputs, ServedBoard } from '../serve-board'
import { noteWentBack, type OpenedStore } from '../storage/open-store'
import { Budgets } from '../sync/budgets'
import type { Timers } from '../sync/timers'
import { EmptyBoard } from './empty-board'
import { originOf, placeOf, type Hosting } from './hosting'
import { HostingDesk } from './hosting-desk'
import { openTeam, type TeamStore } from './open-team'
import { openTeamList } from './open-team-list'
import { TeamHouse } from './team-house'
import { OPEN_TEAMS, TEAM_LIMITS } from './team-limits'
import { TeamList } from './team-list'
import { settingsOfTeam } from './team-settings'

/** How soon a change of the list by another process (the admin command) is noticed, ms. */
const LOOK_MS = 500
const TIDY_MS = 15_000

export interface ServeTeamsParts {
  settings: Settings
  teams: Hosting
  clock: Clock
  timers: Timers
  log: Logger
  secure: boolean
  /** The port that is listened on. */
  port: () => number
  /** [S23] Whoever opens a team's board next, in whatever process, must begin another generation. */
  forgetGenerations: () => Promise<void>
  /** This process can't go on. */
  onOver: (e: DatabaseError) => void
  serve: (opened: OpenedStore, own: Partial<BoardInputs>) => Promise<ServedBoard>
}

export interface ServedTeams extends Led {
  hasNotice(): boolean
  closeSockets(): Promise<void>
}

/**
 * [P5] Many teams' boards, and the page where they are made. `given`: the store of the board that is nobody's, which is closed with the rest, also
 * where this fails; without it that is opened too. @throws DatabaseError
 */
export async function serveTeams(
  parts: ServeTeamsParts,
  given: TeamStore | null = null,
): Promise<ServedTeams> {
  const { settings, teams, clock, timers, log, secure, port, serve } = parts
  let addresses: string[] = []
  // All teams are in one database: what one connection saw is so for those too that nobody has open now.
  const noteOver = async (e: DatabaseError) => {
    if (e.trouble !== 'went-back') return
    if (given === null)
      for (const address of addresses) noteWentBack(settingsOfTeam(settings, address).dataFolder, e)
    else await parts.forgetGenerations().catch(() => undefined)
  }
  let isEnding = false
  const end = (e: DatabaseError) => {
    if (!isEnding) parts.onOver(e)
    isEnding = true
  }
  const undo: (() => Promise<void> | void)[] = []
  const unwind = async () => {
    for (const step of undo.splice(0).reverse()) await step()
  }
  try {
    const openParts = { settings, clock, timers, log }
    const empty: EmptyBoard = new EmptyBoard(openParts, () => house.dropEmpty(), given)
    undo.push(() => empty.close())
    const before = timers.steady()
    const listClient = openTeamList(settings, (e) => void noteOver(e).then(() => end(e)))
    const listSpanMs = timers.steady() - before
    undo.push(() => listClient.close())
    const list = new TeamList(listClient, clock, secureRandom)
    let active = new Set<string>()
    const read = () => {
      const all = list.all()
      addresses = all.map((t) => t.address)
      active = new Set(all.flatMap((t) => (t.archivedAt === null ? [t.address] : [])))
    }
    read()
    const known = new Set<string>()
    const nobody = await empty.start()
    const own = (address: string): Partial<BoardInputs> => ({
      origins: () => [originOf(teams, address, { secure, port: port() })],
      limits: TEAM_LIMITS,
    })
    const house: TeamHouse = new TeamHouse({
      timers,
      log,
      most: settings.database === null ? OPEN_TEAMS.sqlite : OPEN_TEAMS.postgres,
      isTeam: (address) => active.has(address),
      openTeam: (address) =>
        openTeam({
          ...openParts,
          address,
          known,
          serve: (opened, team) => serve(opened, { ...own(address), settings: team }),
          onOver: (e) =>
            void noteOver(e).then(() => {
              // Among several processes another one may open it next, and this one has nothing to go on with.
              if (given !== null && e.trouble === 'went-back') end(e)
              // What made it unusable is looked at anew by whoever opens it next.
              else house.drop(address)
            }),
        }),
      openEmpty: (address) => empty.open((opened, nobody) => serve(opened, { ...own(address), ...nobody })),
      // A connection of its own is what takes the time, of the list as of a team.
      firstSpanMs: given === null ? empty.spanMs : listSpanMs,
    })
    undo.push(() => house.close())
    const settle = () => {
      read()
      house.settle()
    }
    undo.push(
      watch(parts, () => listClient.version(), settle),
      timers.every(TIDY_MS, () => house.tidy()),
    )
    const desk = new HostingDesk({
      list,
      timers,
      settle,
      firstLink: async (address) => {
        const { code } = await house.use(address, (board) => board.invitations.createFirstManager('host'))
        return { code, origin: originOf(teams, address, { secure, port: port() }) }
      },
    })
    const hosting = createApiHandler({
      routes: hostingRoutes(desk),
      // Nobody joins here.
      sessions: { findByCookie: () => null, onChange: () => () => undefined, touch: () => undefined },
      buckets: new TokenBuckets(120, 20),
      turns: new RequestTurns(new Budgets(timers.steady), timers),
      steady: timers.steady,
      log,
      secure,
    })
    return {
      api: async (req, res, url) => {
        const place = placeOf(req.headers.host, teams.base)
        if (place?.kind !== 'team') return hosting(req, res, url)
        try {
          await house.use(place.address, (board) => board.api(req, res, url))
        } catch (e) {
          const reason = e instanceof DatabaseError ? e.reason : 'it can’t be opened right now'
          answerTrouble(res, reason, 'Nothing was changed. Try again, or tell whoever runs it.')
        }
      },
      upgrade: (req, socket, head) => {
        const place = placeOf(req.headers.host, teams.base)
        if (place?.kind !== 'team') return void socket.destroy()
        house
          .use(place.address, (board) => {
            if (!socket.destroyed) board.upgrade(req, socket, head)
          })
          .catch(() => {
            socket.end('HTTP/1.1 503 Service Unavailable\r\nConnection: close\r\nContent-Length: 0\r\n\r\n')
          })
      },
      stats: () => house.stats(),
      holds: nobody.opened.holds ?? (() => true),
      hasNotice: () => house.hasNotice(),
      whyNotWritable: () => whyNotWritable(listClient, settings.dataFolder),
      closeSockets: () => house.closeSockets(),
      close: unwind,
    }
  } catch (e) {
    await unwind()
    throw e
  }
}

/** Look again and again whether another process has changed the list. */
function watch({ timers, log }: ServeTeamsParts, version: () => unknown, settle: () => void): () => void {
  let seen = version()
  let isAway = false
  return timers.every(LOOK_MS, () => {
    try {
      const now = version()
      if (now === seen) return
      settle()
      seen = now
      isAway = false
    } catch (e) {
      // Said once; who is a team stays as it was.
      if (!isAway) log.warn({ err: e }, 'the list of teams could not be read')
      isAway = true
    }
  })
}
