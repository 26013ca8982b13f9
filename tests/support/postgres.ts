import { execFileSync, spawn, type ChildProcess } from 'node:child_process'
import { chownSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import pg from 'pg'
import { findPostgres } from './find-postgres'

/** Names the socket's file in a folder of its own; nothing listens on a network. */
const PORT = 5432
const READY = 'database system is ready to accept connections'
/** A server asked to stop at once has this long, ms. */
const STOP_MS = 10_000

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
    const data = join(this.#folder, 'data')
    execFileSync(
      join(bin, 'initdb'),
      ['-D', data, '-U', 'stagecall', '-A', 'trust', '-E', 'UTF8', '--locale=C.UTF-8', '--no-sync'],
      { ...this.#as, cwd: this.#folder, stdio: 'pipe' },
    )
  }

  /** @throws when there is none: ask `findPostgres` first. */
  static async start(): Promise<Postgres> {
    const bin = findPostgres()
    if (bin === null) throw new Error('There is no PostgreSQL here')
    const server = new Postgres(bin)
    await server.restart()
    return server
  }

  /** Start it (again); the data stays. */
  async restart(): Promise<void> {
    const child = spawn(
      join(this.#bin, 'postgres'),
      ['-D', join(this.#folder, 'data'), '-k', this.#folder, '-p', String(PORT), '-c', 'listen_addresses='],
      { ...this.#as, cwd: this.#folder, stdio: ['ignore', 'ignore', 'pipe'] },
    )
    this.#child = child
    let said = ''
    await new Promise<void>((resolve, reject) => {
      child.once('exit', (code) => reject(new Error(`PostgreSQL ended with ${code}:\n${said}`)))
      child.stderr.on('data', (chunk: Buffer) => {
        said += chunk.toString()
        if (said.includes(READY)) resolve()
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
