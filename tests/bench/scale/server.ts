/**
 * The board's server with seats for more sockets than it has by itself, and as many meetings as `SCALE_ROOMS` says. With `SCALE_TIDY` it
 * unloads rooms soon and collects garbage all the time, so that memory can be read. Everything else is what `npm start` runs.
 */
import { fileURLToPath } from 'node:url'
import { writeField, writeStarterKit } from '@/lib/board'
import { systemClock } from '@/lib/core/clock'
import { readSettings } from '@/server/env'
import { createLog } from '@/server/log'
import { startServer } from '@/server/start-server'
import { stopOnSignals } from '@/server/stop-on-signals'
import { createSyncServer } from '@/server/sync/sync-server'

const SEATS = 2_000
const UNLOAD_MS = 1_000
const rooms = Number(process.env['SCALE_ROOMS'])
const tidy = process.env['SCALE_TIDY'] !== undefined
const log = createLog('warn')
const server = await startServer({
  settings: readSettings(process.env, fileURLToPath(new URL('../../..', import.meta.url))),
  clock: systemClock,
  log,
  version: 'bench',
  dev: false,
  tls: null,
  createSync: (parts) =>
    createSyncServer({ ...parts, limits: { sockets: SEATS, ...(tidy && { idleUnloadMs: UNLOAD_MS }) } }),
  startScreens: null,
  prepare: async ({ sync }) => {
    await sync.editAsServer('kit', writeStarterKit)
    for (let from = 0; from < rooms; from += 50)
      await sync.editAsServer('kit', (doc) => {
        for (let n = from; n < Math.min(rooms, from + 50); n++)
          writeField(doc, 'meetings', `s${n}`, 'name', `Meeting ${n}`)
      })
  },
})
if (tidy) setInterval(() => (globalThis as { gc?: () => void }).gc?.(), 500).unref()
stopOnSignals(log, () => server.stop())
process.send?.({ ready: true, port: server.port, links: [] })
