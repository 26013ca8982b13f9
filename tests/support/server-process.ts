import { spawn, type ChildProcess } from 'node:child_process'
import { request as httpRequest, type IncomingMessage } from 'node:http'
import { request as httpsRequest } from 'node:https'
import { cpSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { openPostgres } from '@/drizzle/postgres/client'
import type { Role } from '@/lib/core/role'
import { SESSION_COOKIE } from '@/lib/join/session-cookie'
import type { NewInvitation } from '@/server/join/invitations'
import { Invitations } from '@/server/join/invitations'
import { secureRandom } from '@/server/join/secret-hash'
import { openDatabase } from '@/server/storage/open-database'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
export const START_MS = 60_000
const STOP_MS = 15_000
const START = ['server/start.mjs']

export interface ServerProcessOptions {
  /** Load the demo meeting. */
  demo?: boolean
  /** Serve pages (the build must be fresh); false is API and socket only, which starts in a second. */
  screens?: boolean
  env?: Record<string, string>
  /** Address of a PostgreSQL database that holds the board, in place of SQLite. */
  database?: string
  /** Further options of `npm start`. */
  args?: string[]
  /** What Node is given in place of `npm start`'s script: another way to start the same server. */
  script?: string[]
  /** A data folder that it begins with a copy of. */
  from?: string
}

interface Ready {
  ready: true
  port: number
  links: { label: string; url: string }[]
}

/**
 * The real server as a process of its own, on a free port of the loopback interface, over a data folder of its own. A restart keeps port and
 * data.
 */
export class ServerProcess {
  readonly #options: ServerProcessOptions
  readonly #base = mkdtempSync(join(tmpdir(), 'stagecall-test-'))
  #child: ChildProcess | null = null
  #port = 0
  #root = ROOT
  #output: string[] = []
  /** That it ended with by itself, last time; null when a signal ended it. */
  exitCode: number | null = null
  /** What the server printed links for. */
  links: Ready['links'] = []

  private constructor(options: ServerProcessOptions) {
    this.#options = options
  }

  static async start(options: ServerProcessOptions = {}): Promise<ServerProcess> {
    const server = new ServerProcess(options)
    if (options.from !== undefined) cpSync(options.from, server.dataFolder, { recursive: true })
    await server.restart()
    return server
  }

  get port(): number {
    return this.#port
  }
  get origin(): string {
    const scheme = this.#options.args?.includes('--https') ? 'https' : 'http'
    return `${scheme}://localhost:${this.#port}`
  }
  get pid(): number {
    if (this.#child?.pid === undefined) throw new Error('The server is not running')
    return this.#child.pid
  }
  get running(): boolean {
    return this.#child !== null
  }
  /** The folder that holds the database. */
  get dataFolder(): string {
    return this.#options.demo ? join(this.#base, 'demo') : this.#base
  }
  /** The certificate that it is trusted by over HTTPS; undefined over plain HTTP. */
  get authority(): string | undefined {
    if (!this.origin.startsWith('https:')) return undefined
    return readFileSync(join(this.dataFolder, 'tls', 'authority.cert.pem'), 'utf8')
  }
  /** Its own certificate over HTTPS; undefined over plain HTTP. */
  get certificate(): string | undefined {
    if (!this.origin.startsWith('https:')) return undefined
    return readFileSync(join(this.dataFolder, 'tls', 'server.cert.pem'), 'utf8')
  }
  /** What it has said on stdout and stderr so far. */
  get output(): string {
    return this.#output.join('')
  }

  /** Start it (again); from another folder if `root` is given, with the same port and data. */
  async restart(root = this.#root): Promise<void> {
    if (this.#child) await this.stop()
    this.#root = root
    const { demo, screens = true, env, database, args = [], script = START } = this.#options
    const flags = ['--prepared', ...(demo ? ['--demo'] : []), ...(screens ? [] : ['--no-screens']), ...args]
    const child = spawn(process.execPath, [...script, ...flags], {
      cwd: root,
      stdio: ['ignore', 'pipe', 'pipe', 'ipc'],
      env: {
        ...process.env,
        PORT: String(this.#port),
        HOST: '127.0.0.1',
        STAGECALL_DATA: this.#base,
        ...(database !== undefined && { STAGECALL_DATABASE: database }),
        ...env,
      },
    })
    const listen = (chunk: Buffer) => void this.#output.push(chunk.toString())
    child.stdout?.on('data', listen)
    child.stderr?.on('data', listen)
    this.#child = child
    child.once('exit', (code) => {
      this.exitCode = code
      if (this.#child === child) this.#child = null
    })
    const ready = await new Promise<Ready>((resolve, reject) => {
      const fail = (why: string) => reject(new Error(`The server ${why}:\n${this.output}`))
      const timer = setTimeout(() => fail('did not get ready'), START_MS)
      child.once('message', (message) => {
        clearTimeout(timer)
        resolve(message as Ready)
      })
      child.once('exit', (code, signal) => {
        clearTimeout(timer)
        fail(`ended with ${signal ?? `code ${code}`}`)
      })
    }).catch((e: unknown) => {
      child.kill('SIGKILL')
      throw e
    })
    this.#port = ready.port
    this.links = ready.links
  }

  /** The power goes. Resolves when the process is gone. */
  kill9(): Promise<unknown> {
    return this.#end('SIGKILL')
  }

  /** Stop in good order; gives the exit code. */
  async stop(): Promise<number | null> {
    return (await this.#end('SIGTERM')).code
  }

  /** Stop and forget everything. */
  async dispose(): Promise<void> {
    if (this.#child) await this.stop()
    rmSync(this.#base, { recursive: true, force: true })
  }

  /** A join link and its code, as `npm run admin -- invite` would make it, beside the running server. */
  invite(role: Role, over: Partial<NewInvitation> = {}): { code: string; link: string } {
    const { database } = this.#options
    const client = database === undefined ? openDatabase(this.dataFolder) : openPostgres(database)
    try {
      const clock = { now: () => Date.now() }
      const { code } = new Invitations(client, clock, secureRandom).create({
        role,
        name: null,
        // Longer than any test sets the server's clock ahead.
        hours: 12,
        singleUse: false,
        createdBy: 'test',
        ...over,
      })
      return { code, link: `${this.origin}/join#${code}` }
    } finally {
      client.close()
    }
  }

  /** Join without a browser: the cookie header and who that is. */
  async join(role: Role, who: { name: string } | { personId: string }): Promise<JoinedClient> {
    const body = { code: this.invite(role).code, ...who }
    const res = await this.request('POST', '/api/join', body, this.authority)
    if (res.status !== 200) throw new Error(`Joining was refused: ${JSON.stringify(res.body)}`)
    const cookie = res.setCookie.split(';')[0] ?? ''
    const { session } = res.body as { session: Omit<JoinedClient, 'cookie' | 'token'> }
    return { ...session, cookie, token: cookie.slice(SESSION_COOKIE.length + 1) }
  }

  /** A JSON request over HTTP, or over TLS that trusts `ca` alone. */
  request(method: 'GET' | 'POST', path: string, body?: unknown, ca?: string) {
    const text = body === undefined ? '' : JSON.stringify(body)
    const headers = body === undefined ? {} : { 'content-type': 'application/json' }
    return new Promise<{ status: number; setCookie: string; body: unknown }>((resolve, reject) => {
      const take = (res: IncomingMessage) => {
        let answer = ''
        res.on('data', (chunk: Buffer) => void (answer += chunk.toString()))
        res.on('end', () =>
          resolve({
            status: res.statusCode ?? 0,
            setCookie: res.headers['set-cookie']?.[0] ?? '',
            body: answer === '' ? null : JSON.parse(answer),
          }),
        )
      }
      const url = this.origin + path
      const req = ca
        ? httpsRequest(url, { method, headers, ca }, take)
        : httpRequest(url, { method, headers }, take)
      req.on('error', reject)
      req.end(text)
    })
  }

  /** Memory of the process in bytes (Linux only; 0 elsewhere). */
  residentBytes(): number {
    return this.#memory('VmRSS')
  }
  /** The most it ever held, likewise. */
  peakBytes(): number {
    return this.#memory('VmHWM')
  }

  /** Files in the data folder. */
  files(): string[] {
    return readdirSync(this.dataFolder)
  }

  #memory(line: 'VmRSS' | 'VmHWM'): number {
    const status = `/proc/${this.pid}/status`
    if (!existsSync(status)) return 0
    return Number(new RegExp(`${line}:\\s+(\\d+) kB`).exec(readFileSync(status, 'utf8'))?.[1] ?? 0) * 1024
  }

  async #end(signal: 'SIGTERM' | 'SIGKILL'): Promise<{ code: number | null }> {
    const child = this.#child
    if (!child) throw new Error('The server is not running')
    const gone = new Promise<{ code: number | null }>((resolve) =>
      child.once('exit', (code) => resolve({ code })),
    )
    child.kill(signal)
    const timer = setTimeout(() => child.kill('SIGKILL'), STOP_MS)
    const result = await gone
    clearTimeout(timer)
    return result
  }
}

export interface JoinedClient {
  personId: string
  name: string
  role: Role
  deviceId: string
  /** The Cookie header. */
  cookie: string
  /** The session cookie's value. */
  token: string
}
