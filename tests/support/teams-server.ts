import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import pino from 'pino'
import { writeStarterKit } from '@/lib/board'
import { systemClock } from '@/lib/core/clock'
import { startServer, type ServerInputs } from '@/server/start-server'
import { createSyncServer } from '@/server/sync/sync-server'
import { askAt, type Ask } from './ask-at'
import { TEAMS_BASE } from './team-phone'

/** A server of many teams in this process, on a free port, with the real sync; PostgreSQL where an address is given. */
export async function teamsServer(database: string | null = null, over: Partial<ServerInputs> = {}) {
  const dataFolder = mkdtempSync(join(tmpdir(), 'stagecall-teams-'))
  const log: string[] = []
  const settings = {
    port: 0,
    host: '127.0.0.1',
    dataFolder,
    database,
    peer: null,
    teams: { base: TEAMS_BASE, outside: null },
    logLevel: 'info' as const,
    metricsToken: null,
    allowedHosts: [],
  }
  const server = await startServer({
    settings,
    clock: systemClock,
    log: pino({ level: 'warn' }, { write: (line: string) => void log.push(line) }),
    version: '0.0.0-test',
    dev: false,
    tls: null,
    createSync: (parts) => createSyncServer(parts),
    startScreens: null,
    prepare: ({ sync }) => sync.editAsServer('kit', writeStarterKit),
    ...over,
  })
  const { port } = server
  return {
    server,
    port,
    base: TEAMS_BASE,
    where: { dataFolder, database },
    settings,
    log,
    /** The Host header of a team's address, or of the hosting page. */
    hostOf: (address: string | null) => `${address === null ? '' : `${address}.`}${TEAMS_BASE}:${port}`,
    ask: (address: string | null, path: string, more: Partial<Ask> = {}) =>
      askAt(port, { host: `${address === null ? '' : `${address}.`}${TEAMS_BASE}:${port}`, path, ...more }),
    stop: async () => {
      await server.stop()
      rmSync(dataFolder, { recursive: true })
    },
  }
}
