import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'
import { writeStarterKit } from '@/lib/board'
import { systemClock } from '@/lib/core/clock'
import { joinLink, showJoinCode } from '@/lib/join/join-code'
import { DatabaseError } from '@/drizzle/database-error'
import { announcementText, type AnnouncedLink } from './announce'
import { loadDemo, type Demo } from './demo-link'
import { readSettings, SettingsError, type Settings } from './env'
import { createLog } from './log'
import { readOptions, type Options } from './options'
import { startScreens } from './screens'
import { PortError, startServer, type RunningServer } from './start-server'
import { lockFolder } from './storage/folder-lock'
import { clearRunning, writeRunning } from './storage/running-file'
import { stopOnSignals } from './stop-on-signals'
import { createSyncServer } from './sync/sync-server'

const FIRST_LINK_HOURS = 24
const DEMO_LINK_HOURS = 12
/** Who made an invitation that the start printed. */
const STARTER = 'start'

/** Run the server until it is told to stop. `root` is the repository's folder. */
export async function main(args: readonly string[], root: string): Promise<void> {
  try {
    await run(args, root)
  } catch (e) {
    if (!(e instanceof SettingsError || e instanceof PortError || e instanceof DatabaseError)) throw e
    process.stderr.write(`\n${e.message}\n\n`)
    process.exitCode = 1
  }
}

async function run(args: readonly string[], root: string): Promise<void> {
  const options = readOptions(args)
  const settings = readSettings(process.env, root)
  // The demo's boards must never mix with a team's own.
  if (options.demo) settings.dataFolder = join(settings.dataFolder, 'demo')
  const log = createLog(settings.logLevel)
  const demo = options.demo ? await loadDemo(root) : null
  const lock = lockFolder(settings.dataFolder)
  if (!lock)
    throw new SettingsError(
      `Another board already runs on ${settings.dataFolder}. Close it, or set STAGECALL_DATA to another folder.`,
    )
  try {
    const server = await startServer({
      settings,
      clock: systemClock,
      log,
      version: versionOf(root),
      dev: options.dev,
      tls: null,
      createSync: createSyncServer,
      startScreens: options.screens ? (port) => startScreens(root, options.dev, port) : null,
      prepare: ({ sync }) =>
        demo ? demo.seed(sync, systemClock.now()) : sync.editAsServer('kit', writeStarterKit),
    })
    writeRunning(settings.dataFolder, { pid: process.pid, origins: server.origins })
    stopOnSignals(log, async () => {
      await server.stop()
      clearRunning(settings.dataFolder)
      lock.release()
    })
    const links = startLinks(server, demo)
    await announce(server, options, settings, links)
    process.send?.({ ready: true, port: server.port, links })
  } catch (e) {
    lock.release()
    throw e
  }
}

const versionOf = (root: string): string =>
  z.object({ version: z.string() }).parse(JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')))
    .version

/** The demo's links, or, as long as there is no manager, a link that makes one. */
function startLinks({ invitations, people, origins }: RunningServer, demo: Demo | null): AnnouncedLink[] {
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
  const { code } = invitations.create({
    role: 'manager',
    name: null,
    hours: FIRST_LINK_HOURS,
    singleUse: true,
    createdBy: STARTER,
  })
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
): Promise<void> {
  const address = { label: 'the board', url: server.origins[0] ?? '' }
  const text = await announcementText({
    title: options.demo ? 'Stagecall is running with the demo meeting.' : 'Stagecall is running.',
    origins: server.origins,
    links,
    scan: links[0] ?? address,
    notes: [`Data: ${settings.dataFolder}`, 'Stop with Ctrl+C.'],
  })
  process.stdout.write(`${text}\n`)
}
