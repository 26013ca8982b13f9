import { execFileSync } from 'node:child_process'
import { closeSync, existsSync, openSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Role } from '@/lib/core/role'
import type { CrewResponse } from '@/lib/join/join-api'
import { endOfLog } from '../support/end-of-log'
import { makeMeeting } from '../support/make-meeting'
import { Postgres } from '../support/postgres'
import { ServerProcess, type JoinedClient } from '../support/server-process'
import type { Random } from './random'

const CLOCK = fileURLToPath(new URL('jumping-clock.mjs', import.meta.url))
export const CREW = [
  ['boss', 'manager'],
  ['mech', 'mechanic'],
  ['mate', 'mechanic'],
  ['dora', 'driver'],
  ['gus', 'guest'],
] as const
/** A guest whose device is hostile. */
export const HOSTILE = 'hal'
export type Member = (typeof CREW)[number][0] | typeof HOSTILE

/** A database of PostgreSQL that can be made to refuse whatever is added. */
export class FuzzedPostgres {
  private constructor(
    readonly server: Postgres,
    readonly address: string,
  ) {}

  static async start(): Promise<FuzzedPostgres> {
    const server = await Postgres.start()
    return new FuzzedPostgres(server, await server.database())
  }

  fill(full: boolean): void {
    const make = `CREATE OR REPLACE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
      BEGIN RAISE EXCEPTION 'played by a test' USING ERRCODE = 'disk_full'; END $$;`
    const each = (table: string) =>
      full
        ? `CREATE TRIGGER full_disk BEFORE INSERT OR UPDATE ON ${table} EXECUTE FUNCTION refuse();`
        : `DROP TRIGGER full_disk ON ${table};`
    this.server.run(this.address, make + ['updates', 'people', 'sessions'].map(each).join(''))
  }
}

/** What the fuzz needs of a server, of one process or several. */
export interface FuzzedServer {
  readonly port: number
  readonly running: boolean
  /** What it has said so far. */
  readonly output: string
  peakBytes(): number
  invite(role: Role): { code: string }
  join(role: Role, who: { name: string }): Promise<JoinedClient>
  restart(): Promise<void>
  dispose(): Promise<void>
  /** Of several processes: take away the one that judges. */
  strike?(r: Random): Promise<void>
}

/** The real server under fuzz, with a crew that has joined it. */
export class FuzzCrew {
  readonly cookies = new Map<Member, JoinedClient>()
  restarts = 0
  /** The most memory that any of its processes ever held, bytes. */
  peakBytes = 0
  #diskFull = false
  #replaced = 0

  private constructor(
    readonly server: FuzzedServer,
    readonly postgres: FuzzedPostgres | null,
  ) {}

  /** `postgres`: the board's database, in place of SQLite. */
  static async start(postgres: FuzzedPostgres | null = null): Promise<FuzzCrew> {
    const server = await ServerProcess.start({
      screens: false,
      ...(postgres && { database: postgres.address }),
      env: { STAGECALL_LOG: 'warn', NODE_OPTIONS: `--import=${CLOCK}` },
    })
    return FuzzCrew.over(server, postgres)
  }

  /** A crew that joins a running server. */
  static async over(server: FuzzedServer, postgres: FuzzedPostgres | null): Promise<FuzzCrew> {
    const crew = new FuzzCrew(server, postgres)
    for (const [name, role] of CREW) crew.cookies.set(name, await server.join(role, { name }))
    crew.cookies.set(HOSTILE, await server.join('guest', { name: HOSTILE }))
    return crew
  }

  cookie(member: Member): string {
    return this.#joined(member).cookie
  }
  /** A meeting of this id on the board, and its room's name. */
  async makeRoom(meetingId: string): Promise<string> {
    await whenWritable(() => makeMeeting(this.server.port, this.cookie('boss'), meetingId))
    return `meeting-${meetingId}`
  }
  room(name: string): string {
    return `ws://127.0.0.1:${this.server.port}/sync/${name}`
  }

  /** kill -9, sometimes with half a record at the end of the write-ahead log, and start again on the same data. Of several processes one is taken away. */
  async kill(r: Random): Promise<void> {
    this.lookAtMemory()
    const { server } = this
    if (this.postgres && this.#diskFull) this.fillDisk(false)
    if (server instanceof ServerProcess) {
      await server.kill9()
      const wal = join(server.dataFolder, 'board.db-wal')
      if (r.chance(0.5) && existsSync(wal)) writeAt(wal, endOfLog(wal), r.bytes(1 + r.below(5000)))
      this.#diskFull = false
      await server.restart()
    } else await server.strike?.(r)
    this.restarts++
  }

  /** From now on every write to a file fails (a limit on file size set from outside), or works again. False where that can't be done. */
  fillDisk(full: boolean): boolean {
    try {
      if (this.postgres) this.postgres.fill(full)
      else if (this.server instanceof ServerProcess)
        execFileSync('prlimit', [
          '--pid',
          String(this.server.pid),
          `--fsize=${full ? '1' : 'unlimited'}:unlimited`,
        ])
    } catch {
      return false
    }
    this.#diskFull = full
    return true
  }
  get diskFull(): boolean {
    return this.#diskFull
  }

  lookAtMemory(): void {
    if (this.server.running) this.peakBytes = Math.max(this.peakBytes, this.server.peakBytes())
  }

  jumpClock(): void {
    if (this.server instanceof ServerProcess) process.kill(this.server.pid, 'SIGUSR2')
  }

  /** The last lines of a field's audit trail, for a fault's description. */
  async history(room: string, key: string): Promise<string> {
    const [recordId = '', field = ''] = key.split(':')
    const query = new URLSearchParams({ room, collection: 'notes', recordId, field, limit: '8' })
    const { entries } = await whenWritable(async () => {
      const res = await fetch(`http://127.0.0.1:${this.server.port}/api/history?${query}`, {
        headers: { cookie: this.cookie('boss') },
      })
      return (await res.json()) as { entries?: { after: unknown; outcome: string }[] }
    })
    return `history, newest first: ${(entries ?? []).map((e) => `${String(e.after)} ${e.outcome}`).join(', ')}`
  }

  async setRole(member: Member, role: Role): Promise<void> {
    await this.#post(this.#rolePath(member), { role })
  }
  /** The status of the first answer; a line that breaks gives none. */
  async tryRole(member: Member, role: Role): Promise<number> {
    return whenWritable(async () => (await this.#send(this.#rolePath(member), { role })).status)
  }
  async tryToJoin(): Promise<number> {
    const { code } = this.server.invite('guest')
    return whenWritable(async () => (await this.#send('/api/join', { code, name: 'Late' })).status)
  }
  #rolePath(member: Member): string {
    return `/api/crew/people/${this.#joined(member).personId}/role`
  }

  /** Revoke a member's device and let them join anew, as somebody new. */
  async replaceDevice(member: Member, role: Role): Promise<void> {
    const { personId } = this.#joined(member)
    // From the list again each time: a revocation whose answer was lost may have been made.
    await whenWritable(async () => {
      const res = await fetch(`http://127.0.0.1:${this.server.port}/api/crew/people`, {
        headers: { cookie: this.cookie('boss') },
      })
      const { people } = (await res.json()) as CrewResponse
      for (const device of people.find((p) => p.personId === personId)?.devices ?? [])
        await this.#ask(`/api/crew/devices/${device.sessionId}/revoke`, {})
    })
    const name = `${member} ${++this.#replaced}`
    this.cookies.set(member, await whenWritable(() => this.server.join(role, { name })))
  }

  async #post(path: string, body: object): Promise<void> {
    await whenWritable(() => this.#ask(path, body))
  }
  async #ask(path: string, body: object): Promise<void> {
    const res = await this.#send(path, body)
    if (!res.ok) throw new Error(`${path}: ${res.status} ${await res.text()}`)
  }
  #send(path: string, body: object): Promise<Response> {
    return fetch(`http://127.0.0.1:${this.server.port}${path}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', cookie: this.cookie('boss') },
      body: JSON.stringify(body),
    })
  }

  #joined(member: Member): JoinedClient {
    const joined = this.cookies.get(member)
    if (!joined) throw new Error(`${member} has not joined`)
    return joined
  }
}

/** Just after the disk was full the server may still be read-only: it refuses, and takes the change a little later. */
async function whenWritable<T>(ask: () => Promise<T>): Promise<T> {
  for (let tries = 0; ; tries++) {
    try {
      return await ask()
    } catch (e) {
      if (tries === 60) throw e
      await new Promise((r) => setTimeout(r, 250))
    }
  }
}

function writeAt(file: string, position: number, bytes: Uint8Array): void {
  const fd = openSync(file, 'r+')
  writeSync(fd, bytes, 0, bytes.length, position)
  closeSync(fd)
}
