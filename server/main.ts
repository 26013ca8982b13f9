import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'
import { writeStarterKit } from '@/lib/board'
import { systemClock } from '@/lib/core/clock'
import { joinLink, showJoinCode } from '@/lib/join/join-code'
import { DatabaseError } from '@/drizzle/database-error'
import { originsOf } from './addresses'
import { announcementText, type AnnouncedLink } from './announce'
import { loadDemo, type Demo, type LoadDemoPart } from './demo-link'
import { readSettings, SettingsError, type Settings } from './env'
import { createLog } from './log'
import { readOptions, type Options } from './options'
import { buildName, startScreens } from './screens'
import { PortError, startServer, type RunningServer } from './start-server'
import { fileTrouble } from './storage/file-trouble'
import { lockFolder } from './storage/folder-lock'
import { readNotice } from './storage/notices'
import { settleFolder } from './storage/restore'
import { makePrivate } from './storage/private-files'
import { clearRunning, writeRunning } from './storage/running-file'
import { stopOnSignals } from './stop-on-signals'
import { NotStored } from './sync/not-stored'
import { createSyncServer } from './sync/sync-server'
import type { Tls } from './tls/start-tls'
import { startTrustServer } from './tls/trust-server'

const DEMO_LINK_HOURS = 12
/** Who made an invitation that the start printed. */
const STARTER = 'start'

/** Run the server until it is told to stop. `root` is the repository's folder, `archiveThread` the script of the thread that makes archives. */
export async function main(
  args: readonly string[],
  root: string,
  loadDemoPart: LoadDemoPart,
  archiveThread: string,
): Promise<void> {
  try {
    await run(args, root, loadDemoPart, archiveThread)
  } catch (e) {
    const message = startTrouble(e)
    if (message === null) throw e
    process.stderr.write(`\n${message}\n\n`)
    process.exitCode = 1
  }
}

/** Why the board can't start, for people; null for a bug. */
function startTrouble(e: unknown): string | null {
  if (e instanceof NotStored) return `The board can’t be written: ${e.reason}. The board was not started.`
  if (e instanceof SettingsError || e instanceof PortError || e instanceof DatabaseError) return e.message
  const trouble = fileTrouble(e)
  return trouble && `${trouble.path}: ${trouble.reason}. The board was not started.`
}

async function run(
  args: readonly string[],
  root: string,
  loadDemoPart: LoadDemoPart,
  archiveThread: string,
): Promise<void> {
  const options = readOptions(args)
  const settings = readSettings(process.env, root)
  if (options.demo && settings.database !== null)
    throw new SettingsError('The demo keeps to SQLite: leave STAGECALL_DATABASE out.')
  if (settings.teams !== null && options.demo)
    throw new SettingsError('The demo is one team’s: leave STAGECALL_TEAMS out.')
  if (settings.teams !== null && options.https)
    throw new SettingsError(
      'A certificate for every team comes from a proxy in front: leave --https out, and set STAGECALL_TEAMS to https://NAME.',
    )
  // The demo's boards must never mix with a team's own.
  if (options.demo) settings.dataFolder = join(settings.dataFolder, 'demo')
  const log = createLog(settings.logLevel)
  const demo = options.demo ? await loadDemo(loadDemoPart) : null
  const lock = lockFolder(settings.dataFolder)
  if (!lock)
    throw new SettingsError(
      `Another board is already running on ${settings.dataFolder}. Close it, or set STAGECALL_DATA to another folder.`,
    )
  let demoDayWas: number | null = null
  const build = options.screens && !options.dev ? buildName(root) : ''
  try {
    makePrivate(settings.dataFolder)
    const settled = settleFolder(settings.dataFolder)
    const tls = options.https
      ? await (await import('./tls/start-tls')).startTls(settings.dataFolder, systemClock, log)
      : null
    const server = await startServer({
      settings,
      clock: systemClock,
      log,
      version: versionOf(root),
      archiveThread,
      dev: options.dev,
      tls: tls?.certificates.server ?? null,
      // The demo's hour can be played ahead of the clock.
      createSync: (parts) =>
        createSyncServer({ ...parts, build, ...(demo && { limits: { stampAheadMs: DEMO_AHEAD_MS } }) }),
      // Ends the process in good order, with an exit code that says so.
      onOver: (e) =>
        void setImmediate(() => {
          throw e
        }),
      startScreens: options.screens ? (port) => startScreens(root, build, port) : null,
      prepare: async ({ sync }) => {
        if (demo) demoDayWas = (await demo.seed(sync, systemClock.now())).dayWas
        else await sync.editAsServer('kit', writeStarterKit)
      },
    })
    const trust = tls ? await startTrust(tls, server, settings) : null
    writeRunning(settings.dataFolder, { pid: process.pid, origins: server.origins })
    stopOnSignals(log, async () => {
      await trust?.close()
      await server.stop()
      clearRunning(settings.dataFolder)
      lock.release()
    })
    const links = startLinks(server, demo)
    await announce(server, options, settings, links, [
      ...settled,
      ...(readNotice(settings.dataFolder)?.lines ?? []),
      ...(settings.teams ? severalTeams : (server.board()?.told ?? elsewhere)).filter(
        (line) => !readNotice(settings.dataFolder)?.lines.includes(line),
      ),
      ...freshDayNotes(demoDayWas),
      ...(trust?.notes ?? []),
    ])
    process.send?.({ ready: true, port: server.port, links, trustPort: trust?.port ?? null })
  } catch (e) {
    lock.release()
    throw e
  }
}

/** The page that phones learn from to trust the certificate, and what the terminal says about it. */
async function startTrust(tls: Tls, server: RunningServer, { host, allowedHosts }: Settings) {
  const { authority, uncovered } = tls.certificates
  const port = server.port === 65535 ? 0 : server.port + 1
  const page = await startTrustServer({ port, host, boardPort: server.port, authority, allowedHosts })
  const stopRenewing = tls.keepFresh((next) => server.useCertificate(next))
  const pageUrl = originsOf('http', page.port, host)[0] ?? ''
  return {
    port: page.port,
    notes: [
      '',
      'Phones show a warning until they trust this machine’s certificate. How to do that:',
      `${pageUrl}/trust`,
      'Compare the fingerprint there (SHA-256):',
      authority.fingerprint,
      ...uncovered.map(
        (a) => `Address ${a} is not in a private network. Phones that use it always show a warning.`,
      ),
      '',
    ],
    close: async () => {
      stopRenewing()
      await page.close()
    },
  }
}

const severalTeams = ['Teams are made there with a code of yours: npm run admin -- team code']
const elsewhere = ['Another process serves the board: what comes here is passed on to it.']

const DEMO_AHEAD_MS = 2 * 3_600_000

/** What the terminal says when the demo's day had passed. */
function freshDayNotes(dayWas: number | null): string[] {
  if (dayWas === null) return []
  const day = new Intl.DateTimeFormat('en-US', { weekday: 'long', day: 'numeric', month: 'long' })
  return [
    '',
    `The demo meeting’s day, ${day.format(dayWas)}, is over: it was rebuilt for today.`,
    'Only that meeting and the places of the demo’s packs and tires changed. Everything else is as you left it.',
    '',
  ]
}

function withoutPassword(address: string): string {
  const { protocol, host, pathname, searchParams } = new URL(address)
  return `${protocol}//${host || (searchParams.get('host') ?? '')}${pathname}`
}

const versionOf = (root: string): string =>
  z.object({ version: z.string() }).parse(JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')))
    .version

/** The demo's links, or, as long as there is no manager, a link that makes one. */
function startLinks({ board, origins }: RunningServer, demo: Demo | null): AnnouncedLink[] {
  const served = board()
  if (served === null) return []
  const { invitations, people } = served
  invitations.revokeAllBy(STARTER)
  const origin = origins[0] ?? ''
  if (demo)
    return demo.joiners.map(({ role, name }) => {
      const { code } = invitations.create({
        role,
        name,
        hours: DEMO_LINK_HOURS,
        singleUse: false,
        createdBy: STARTER,
      })
      return { label: `${role[0]?.toUpperCase()}${role.slice(1)} ${name}`, url: joinLink(origin, code) }
    })
  if (people.all().some((p) => p.role === 'manager')) return []
  const { code } = invitations.createFirstManager(STARTER)
  return [
    { label: 'First manager (once)', url: joinLink(origin, code) },
    { label: 'or at /join type', url: showJoinCode(code) },
  ]
}

async function announce(
  server: RunningServer,
  options: Options,
  settings: Settings,
  links: readonly AnnouncedLink[],
  notes: readonly string[],
): Promise<void> {
  const label = settings.teams ? 'where teams are made' : 'the board'
  const address = { label, url: server.origins[0] ?? '' }
  const text = await announcementText({
    title: options.demo ? 'Stagecall is running with the demo meeting.' : 'Stagecall is running.',
    origins: server.origins,
    links,
    scan: links[0] ?? address,
    notes: [
      ...notes,
      ...(settings.database === null ? [] : [`Board: ${withoutPassword(settings.database)}`]),
      `Data: ${settings.dataFolder}`,
      'Stop with Ctrl+C.',
    ],
  })
  process.stdout.write(`${text}\n`)
}
