import { readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { exportDoc } from '@/lib/board'
import { ROLES, type Role } from '@/lib/core/role'
import { newId } from '@/lib/core/id'
import { formatRoomName, parseRoomName } from '@/lib/sync/room-name'
import { askAt, type HttpAnswer } from '../support/ask-at'
import { stockClient } from '../support/read-board'
import { ServerProcess, type JoinedClient, type ServerProcessOptions } from '../support/server-process'
import { HonestProbe, type ProbeFigures } from './honest-probe'
import { ProtocolPhone, type PhoneOptions } from './protocol-phone'

export type Crew = Record<Role, JoinedClient>

/** What an attack is given: real servers, people, sockets and readers, all ended together. */
export class Ground {
  readonly #undo: (() => unknown)[] = []

  /** A fresh real server process, without screens unless asked, quiet in its log. */
  async server(options: ServerProcessOptions = {}): Promise<ServerProcess> {
    const server = await ServerProcess.start({
      screens: false,
      ...options,
      env: { STAGECALL_LOG: 'warn', ...options.env },
    })
    this.#undo.push(() => server.dispose())
    return server
  }

  /** One joined person of each role. */
  async crew(server: ServerProcess): Promise<Crew> {
    const crew: Partial<Crew> = {}
    for (const role of ROLES) crew[role] = await server.join(role, { name: `The ${role}` })
    return crew as Crew
  }

  /** Enter a meeting in the kit as this manager, and give the name of its room. */
  async meeting(server: ServerProcess, manager: JoinedClient, name = 'Attacked meeting'): Promise<string> {
    const meetingId: string = newId()
    const kit = await this.joined(server, manager, 'kit')
    kit.set('meetings', meetingId, 'name', name)
    if ((await kit.barrier()) === null) throw new Error('The meeting was not stored')
    kit.close()
    return formatRoomName({ kind: 'meeting', meetingId })
  }

  /** A raw socket that speaks the protocol; it may not be open yet, or never be. */
  phone(server: ServerProcess, room: string, options: PhoneOptions = {}): ProtocolPhone {
    const phone = new ProtocolPhone(`ws://127.0.0.1:${server.port}/sync/${room}`, options)
    this.#undo.push(() => phone.close())
    return phone
  }

  /** The same with somebody's session, once the board is there. @throws when the server does not let it in. */
  async joined(
    server: ServerProcess,
    who: JoinedClient,
    room: string,
    options: PhoneOptions = {},
  ): Promise<ProtocolPhone> {
    const phone = this.phone(server, room, { cookie: who.cookie, ...options })
    if (!(await phone.synced()))
      throw new Error(`${who.name} was not let in: ${phone.closeCode} ${phone.closeReason}`)
    return phone
  }

  /** The stock y-websocket client, once the board is there. */
  async stock(server: ServerProcess, who: JoinedClient, room: string) {
    const client = stockClient(server, who, room)
    this.#undo.push(() => client.close())
    await client.synced
    return client
  }

  /** A room's board as plain JSON, as this person sees it now. */
  async board(server: ServerProcess, who: JoinedClient, room: string) {
    const phone = await this.joined(server, who, room)
    const board = exportDoc(parseRoomName(room)?.kind ?? 'kit', phone.doc)
    phone.close()
    return board
  }

  /** Bytes of the database with its write-ahead log's content: pages in use, since the log's file is made large beforehand. */
  databaseBytes(server: ServerProcess): number {
    return this.query(server, (db) => {
      const [pages, free, size] = ['page_count', 'freelist_count', 'page_size'].map((name) =>
        Number(db.pragma(name, { simple: true })),
      )
      return ((pages ?? 0) - (free ?? 0)) * (size ?? 0)
    })
  }
  /** Read the server's database beside it. */
  query<T>(server: ServerProcess, read: (db: Database.Database) => T): T {
    const db = new Database(join(server.dataFolder, 'board.db'), { readonly: true })
    try {
      return read(db)
    } finally {
      db.close()
    }
  }
  /** A file of the data folder: its bytes and its permissions. */
  file(server: ServerProcess, name: string): { bytes: Buffer; mode: number } {
    const path = join(server.dataFolder, name)
    return { bytes: readFileSync(path), mode: statSync(path).mode & 0o777 }
  }

  /** Start timing an honest person's acknowledgements; they must be allowed to write notes. */
  async probe(server: ServerProcess, who: JoinedClient, room: string, everyMs = 50): Promise<HonestProbe> {
    return new HonestProbe(await this.joined(server, who, room), everyMs)
  }
  /** An honest person's acknowledgements while nothing else happens. */
  async quiet(server: ServerProcess, who: JoinedClient, room: string, ms = 2_000): Promise<ProbeFigures> {
    const probe = await this.probe(server, who, room)
    await this.wait(ms)
    return probe.stop()
  }

  /** A request over HTTP, from any address of the loopback network. Status 0 when the connection broke. */
  http(
    server: ServerProcess,
    method: 'GET' | 'POST',
    path: string,
    o: { body?: unknown; cookie?: string; from?: string; headers?: Record<string, string> } = {},
  ): Promise<HttpAnswer> {
    return askAt(server.port, { method, path, ...o })
  }

  wait(ms: number): Promise<void> {
    return new Promise((r) => setTimeout(r, ms))
  }

  /** Run at the end, whatever happens; the latest first. */
  atEnd(run: () => unknown): void {
    this.#undo.push(run)
  }

  async dispose(): Promise<void> {
    for (const step of this.#undo.splice(0).reverse()) await step()
  }
}
