import { execFile, execFileSync, spawn, type ChildProcess } from 'node:child_process'
import { chownSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { promisify } from 'node:util'
import pg from 'pg'
import { findPostgres } from './find-postgres'

/** Names the socket's file in a folder of its own; nothing listens on a network. */
const PORT = 5432
const READY = /database system is ready to accept (read-only )?connections/
/** A server asked to stop at once has this long, ms. */
const STOP_MS = 10_000
const FOLLOWING_LOOK_MS = 50
const FOLLOWING_LOOKS = 600

/** PostgreSQL refuses to run as root: the user that Debian's package makes, then; anybody else runs it as themselves. */
function runner(): { uid: number; gid: number } | undefined {
  if (process.getuid?.() !== 0) return undefined
  const id = (flag: string) => Number(execFileSync('id', [flag, 'postgres'], { encoding: 'utf8' }))
  return { uid: id('-u'), gid: id('-g') }
}

/** Why none can be started here; null when one can: there are its programs, a user for it, and a temporary folder that this user reaches. */
export function whyNoPostgres(): string | null {
  const bin = findPostgres()
  if (bin === null) return 'there is none here'
  const folder = mkdtempSync(join(tmpdir(), 'stagecall-pg-'))
  try {
    const as = runner()
    if (as) chownSync(folder, as.uid, as.gid)
    execFileSync('/bin/sh', ['-c', 'echo > "$0"', join(folder, 'probe')], { ...as, cwd: '/', stdio: 'pipe' })
    execFileSync(join(bin, 'initdb'), ['--version'], { ...as, cwd: '/', stdio: 'pipe' })
    return null
  } catch (e) {
    return e instanceof Error ? e.message : String(e)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** A PostgreSQL of the test's own, in a temporary folder, reached over a Unix socket there. */
export class Postgres {
  readonly #bin: string
  readonly #folder: string
  readonly #as = runner()
  #child: ChildProcess | null = null
  #databases = 0

  private constructor(bin: string) {
    this.#bin = bin
    this.#folder = mkdtempSync(join(tmpdir(), 'stagecall-pg-'))
    if (this.#as) chownSync(this.#folder, this.#as.uid, this.#as.gid)
  }

  /** @throws when there is none: ask `findPostgres` first. */
  static async start(): Promise<Postgres> {
    const bin = findPostgres()
    if (bin === null) throw new Error('There is no PostgreSQL here')
    const server = new Postgres(bin)
    const how = ['-U', 'stagecall', '-A', 'trust', '-E', 'UTF8', '--locale=C.UTF-8', '--no-sync']
    execFileSync(join(bin, 'initdb'), ['-D', server.#data, ...how], {
      ...server.#as,
      cwd: server.#folder,
      stdio: 'pipe',
    })
    await server.restart()
    return server
  }

  /**
   * A standby that streams from `primary` (`pg_basebackup`). When this resolves, the primary's commits wait for it; the standby itself waits
   * for nobody once it is promoted.
   */
  static async standbyOf(primary: Postgres): Promise<Postgres> {
    const server = new Postgres(primary.#bin)
    const from = ['-h', primary.folder, '-p', String(PORT), '-U', 'stagecall']
    const how = ['-D', server.#data, '--write-recovery-conf', '--checkpoint=fast', '--no-sync']
    await server.#program('pg_basebackup', [...from, ...how])
    await server.restart()
    // Only now, so that its own copy of the settings lacks it.
    const admin = primary.addressOf('postgres')
    await primary.ask(admin, `ALTER SYSTEM SET synchronous_standby_names = '*'`)
    await primary.ask(admin, 'SELECT pg_reload_conf()')
    for (let looks = 0; looks < FOLLOWING_LOOKS; looks++) {
      const [row] = await primary.ask(admin, 'SELECT sync_state FROM pg_stat_replication')
      if (row?.[0] === 'sync') return server
      await sleep(FOLLOWING_LOOK_MS)
    }
    await server.dispose()
    throw new Error('The standby did not come to follow its primary')
  }

  /** A standby that `standbyOf` made hears nothing more from its primary, whose commits wait for it no longer: what must never be set up so. */
  async fallBehind(primary: Postgres): Promise<void> {
    for (const [server, setting] of [
      [this, 'primary_conninfo'],
      [primary, 'synchronous_standby_names'],
    ] as const) {
      const admin = server.addressOf('postgres')
      await server.ask(admin, `ALTER SYSTEM SET ${setting} = ''`)
      await server.ask(admin, 'SELECT pg_reload_conf()')
    }
  }

  /** Where its socket is. */
  get folder(): string {
    return this.#folder
  }
  get #data(): string {
    return join(this.#folder, 'data')
  }

  /** Start it (again); the data stays. */
  async restart(): Promise<void> {
    const child = spawn(
      join(this.#bin, 'postgres'),
      ['-D', this.#data, '-k', this.#folder, '-p', String(PORT), '-c', 'listen_addresses='],
      { ...this.#as, cwd: this.#folder, stdio: ['ignore', 'ignore', 'pipe'] },
    )
    this.#child = child
    let said = ''
    await new Promise<void>((resolve, reject) => {
      child.once('exit', (code) => reject(new Error(`PostgreSQL ended with ${code}:\n${said}`)))
      child.stderr.on('data', (chunk: Buffer) => {
        said += chunk.toString()
        if (READY.test(said)) resolve()
      })
    })
  }

  /** All connections are cut. Resolves when it is gone. */
  async stop(): Promise<void> {
    const child = this.#child
    this.#child = null
    if (!child || child.exitCode !== null) return
    const gone = new Promise((resolve) => child.once('exit', resolve))
    const timer = setTimeout(() => child.kill('SIGKILL'), STOP_MS)
    child.kill('SIGINT')
    await gone
    clearTimeout(timer)
  }

  /** Its machine goes: the engine and all of its processes at once. Resolves when it is gone. */
  async kill(): Promise<void> {
    const child = this.#child
    this.#child = null
    if (child?.pid === undefined) return
    const gone = new Promise((resolve) => child.once('exit', resolve))
    const own = readFileSync(`/proc/${child.pid}/task/${child.pid}/children`, 'latin1')
    child.kill('SIGKILL')
    for (const pid of own.trim().split(' ').filter(Boolean)) {
      try {
        process.kill(Number(pid), 'SIGKILL')
      } catch {
        // It ended in between.
      }
    }
    await gone
  }

  /** A standby takes writes from now on. */
  async promote(): Promise<void> {
    await this.#program('pg_ctl', ['promote', '-w', '-D', this.#data])
  }

  async #program(name: string, args: string[]): Promise<void> {
    await promisify(execFile)(join(this.#bin, name), args, { ...this.#as, cwd: this.#folder })
  }

  addressOf(database: string): string {
    return `postgres://stagecall@localhost/${database}?host=${encodeURIComponent(this.#folder)}`
  }

  /** The address of a new, empty database. */
  async database(): Promise<string> {
    const name = `board${++this.#databases}`
    await this.ask(this.addressOf('postgres'), `CREATE DATABASE ${name}`)
    return this.addressOf(name)
  }

  /** Statements by the engine's own program, which this waits for. */
  run(address: string, sql: string): void {
    execFileSync(join(this.#bin, 'psql'), ['-q', '-v', 'ON_ERROR_STOP=1', '-c', sql, address], {
      stdio: 'pipe',
    })
  }

  /** One question by a connection of its own. */
  async ask(address: string, sql: string, params: unknown[] = []): Promise<unknown[][]> {
    const client = new pg.Client({ connectionString: address })
    await client.connect()
    try {
      return (await client.query<unknown[]>({ text: sql, values: params, rowMode: 'array' })).rows
    } finally {
      await client.end()
    }
  }

  async dispose(): Promise<void> {
    await this.stop()
    rmSync(this.#folder, { recursive: true, force: true })
  }
}
