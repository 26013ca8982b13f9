import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { createServer, request, type IncomingMessage, type Server } from 'node:http'
import { connect, type AddressInfo, type Socket } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { eq } from 'drizzle-orm'
import pino from 'pino'
import { openClient } from '@/drizzle/client'
import { audit, rooms } from '@/drizzle/schema'
import { systemClock } from '@/lib/core/clock'
import type { Role } from '@/lib/core/role'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { startServer, type RunningServer } from '@/server/start-server'
import { createSyncServer } from '@/server/sync/sync-server'
import { ServerProcess, type JoinedClient } from './server-process'

/** One edit in the audit trail, without what differs from try to try. */
export interface ActRow {
  room: string
  collection: string
  recordId: string
  field: string
  after: string | null
}

/**
 * The demo board again and again, as it was at first: the screens come from one server process, the board behind them (API and socket) is a fresh copy
 * in this process, exchanged in a moment. Pages see one address throughout.
 */
export class PassingBoards {
  readonly #screens: ServerProcess
  readonly #folder = mkdtempSync(join(tmpdir(), 'stagecall-passing-'))
  readonly #front: Server
  readonly #sockets = new Set<Socket>()
  #board: RunningServer | null = null
  #copies = 0
  #rowsBefore = 0
  readonly members: Readonly<Record<string, JoinedClient>>

  private constructor(screens: ServerProcess, members: Record<string, JoinedClient>) {
    this.#screens = screens
    this.members = members
    this.#front = createServer((req, res) => {
      const up = request(
        {
          port: this.#portFor(req),
          host: '127.0.0.1',
          path: req.url,
          method: req.method,
          headers: req.headers,
        },
        (answer) => {
          res.writeHead(answer.statusCode ?? 502, answer.headers)
          answer.pipe(res)
        },
      )
      up.on('error', () => res.destroy())
      req.pipe(up)
    })
    this.#front.on('upgrade', (req: IncomingMessage, socket: Socket, head: Buffer) => {
      const up = connect(this.#portFor(req), '127.0.0.1')
      const lines = req.rawHeaders.flatMap((h, i) =>
        i % 2 === 0 ? [`${h}: ${req.rawHeaders[i + 1] ?? ''}`] : [],
      )
      up.write(`${req.method ?? 'GET'} ${req.url ?? '/'} HTTP/1.1\r\n${lines.join('\r\n')}\r\n\r\n`)
      up.write(head)
      for (const [from, to] of [
        [up, socket],
        [socket, up],
      ] as const) {
        from.on('error', () => to.destroy())
        from.on('close', () => to.destroy())
        from.pipe(to)
      }
    })
    this.#front.on('connection', (socket: Socket) => {
      this.#sockets.add(socket)
      socket.on('close', () => this.#sockets.delete(socket))
    })
  }

  /** @param who a person of the demo by role and id */
  static async start(who: readonly (readonly [role: Role, personId: string])[]): Promise<PassingBoards> {
    const screens = await ServerProcess.start({ demo: true })
    const members: Record<string, JoinedClient> = {}
    for (const [role, personId] of who) members[personId] = await screens.join(role, { personId })
    const boards = new PassingBoards(screens, members)
    await screens.stop()
    cpSync(screens.dataFolder, join(boards.#folder, 'first'), { recursive: true })
    await screens.restart()
    await new Promise<void>((resolve) => boards.#front.listen(0, '127.0.0.1', resolve))
    await boards.renew()
    return boards
  }

  get origin(): string {
    return `http://localhost:${(this.#front.address() as AddressInfo).port}`
  }

  /** A board as it was at first takes the place of the present one. No page may be open. */
  async renew(): Promise<void> {
    await this.#board?.stop()
    const dataFolder = join(this.#folder, `copy-${++this.#copies}`)
    if (this.#copies > 1) rmSync(join(this.#folder, `copy-${this.#copies - 1}`), { recursive: true })
    cpSync(join(this.#folder, 'first'), dataFolder, { recursive: true })
    this.#board = await startServer({
      settings: {
        port: 0,
        host: '127.0.0.1',
        dataFolder,
        database: null,
        peer: null,
        teams: null,
        logLevel: 'error',
        metricsToken: null,
        allowedHosts: [],
      },
      clock: systemClock,
      log: pino({ level: 'silent' }),
      version: '0.0.0-test',
      dev: false,
      tls: null,
      createSync: (parts) => createSyncServer({ ...parts, limits: { stampAheadMs: 2 * 3_600_000 } }),
      startScreens: null,
    })
    this.#rowsBefore = this.#rows().length
  }

  /** What has been edited on this board. */
  edits(): ActRow[] {
    return this.#rows().slice(this.#rowsBefore)
  }
  #rows(): ActRow[] {
    // Read only: a second writer would keep a mark of its own.
    const client = openClient(join(this.#folder, `copy-${this.#copies}`, DATABASE_FILE), { readonly: true })
    try {
      return client.db
        .select({
          room: rooms.name,
          collection: audit.collection,
          recordId: audit.recordId,
          field: audit.field,
          after: audit.after,
        })
        .from(audit)
        .innerJoin(rooms, eq(rooms.id, audit.roomId))
        .orderBy(audit.seq)
        .all()
    } finally {
      client.close()
    }
  }

  /** Pages come from the process, all else from the board of the moment. */
  #portFor(req: IncomingMessage): number {
    return /^\/(api|sync)\//.test(req.url ?? '') ? (this.#board?.port ?? 0) : this.#screens.port
  }

  async dispose(): Promise<void> {
    await this.#board?.stop()
    await new Promise<void>((resolve) => {
      this.#front.close(() => resolve())
      for (const socket of this.#sockets) socket.destroy()
    })
    await this.#screens.dispose()
    rmSync(this.#folder, { recursive: true, force: true })
  }
}
