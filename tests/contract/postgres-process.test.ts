import { execFile } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { expect, it, onTestFinished } from 'vitest'
import { ServerProcess, START_MS } from '../support/server-process'
import { hasPostgres, postgresForTests } from './postgres-under-test'

const postgres = postgresForTests()

async function startOn(database: string): Promise<ServerProcess> {
  const server = await ServerProcess.start({ screens: false, database, env: { STAGECALL_LOG: 'error' } })
  onTestFinished(() => server.dispose())
  return server
}

async function names(server: ServerProcess, cookie: string): Promise<string[]> {
  const res = await fetch(`${server.origin}/api/crew/people`, { headers: { cookie } })
  const { people } = (await res.json()) as { people: { name: string }[] }
  return people.map((p) => p.name)
}
const add = (server: ServerProcess, cookie: string, name: string) =>
  fetch(`${server.origin}/api/crew/people`, {
    method: 'POST',
    headers: { cookie, origin: server.origin, 'content-type': 'application/json' },
    body: JSON.stringify({ name, role: 'driver' }),
  })

it.skipIf(!hasPostgres)(
  '[S12] a board on PostgreSQL: joined, edited, killed, started again, read-only while the database is away',
  async () => {
    const server = await startOn(await postgres.server.database())
    expect(server.output).toContain('Board: postgres://localhost/')
    const ann = await server.join('manager', { name: 'Ann' })
    expect((await add(server, ann.cookie, 'Bea')).status).toBe(200)
    const archive = await fetch(`${server.origin}/api/archive/team`, { headers: { cookie: ann.cookie } })
    expect(
      Buffer.from(await archive.arrayBuffer())
        .subarray(0, 2)
        .toString(),
    ).toBe('PK')
    await server.kill9()
    // Its lease has to run out first.
    await server.restart()
    expect(await names(server, ann.cookie)).toEqual(['Ann', 'Bea'])
    await postgres.server.stop()
    expect((await add(server, ann.cookie, 'Cyd')).status).toBeGreaterThanOrEqual(500)
    const health = async () => {
      const res = await fetch(`${server.origin}/healthz`)
      return ((await res.json()) as { database: { writable: boolean; reason: string } }).database
    }
    expect(await health()).toMatchObject({ writable: false })
    expect((await health()).reason).toContain('the database does not answer')
    await postgres.server.restart()
    await expect.poll(async () => (await health()).writable, { timeout: 20_000 }).toBe(true)
    expect((await add(server, ann.cookie, 'Dan')).status).toBe(200)
    expect(await names(server, ann.cookie)).toEqual(['Ann', 'Bea', 'Dan'])
    expect(await server.stop()).toBe(0)
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P1] one board serves a database: a second is refused in words; one that was paused past its lease ends when it wakes up',
  async () => {
    const database = await postgres.server.database()
    const first = await startOn(database)
    const ann = await first.join('manager', { name: 'Ann' })
    await expect(startOn(database)).rejects.toThrow(/another board serves this database/)
    process.kill(first.pid, 'SIGSTOP')
    const second = await startOn(database)
    expect((await add(second, ann.cookie, 'Bea')).status).toBe(200)
    process.kill(first.pid, 'SIGCONT')
    // Nobody asks it to write; it finds out by itself.
    await expect.poll(() => first.running, { timeout: 20_000 }).toBe(false)
    expect(first.exitCode).toBe(1)
    expect(first.output).toContain('another board serves this database')
    expect(await names(second, ann.cookie)).toEqual(['Ann', 'Bea'])
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[S23] a board whose database went back ends, and the next start begins another generation, once',
  async () => {
    const database = await postgres.server.database()
    const server = await startOn(database)
    const ann = await server.join('manager', { name: 'Ann' })
    const generation = async () =>
      (await postgres.server.ask(database, 'SELECT generation FROM generations'))[0]?.[0]
    const before = await generation()
    await postgres.server.ask(database, 'UPDATE writers SET head = head - 1')
    await add(server, ann.cookie, 'Bea').catch(() => undefined)
    await expect.poll(() => server.running, { timeout: 20_000 }).toBe(false)
    expect(server.exitCode).toBe(1)
    expect(server.output).toContain('an older state was brought back')
    await server.restart()
    const after = await generation()
    expect(after).not.toBe(before)
    expect(await names(server, ann.cookie)).toEqual(['Ann'])
    await server.restart()
    expect(await generation()).toBe(after)
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  'admin commands work beside a board on PostgreSQL; what its own tools do is left to them',
  async () => {
    const database = await postgres.server.database()
    const server = await startOn(database)
    await server.join('manager', { name: 'Ann' })
    const folder = mkdtempSync(join(tmpdir(), 'stagecall-admin-'))
    onTestFinished(() => rmSync(folder, { recursive: true }))
    const admin = (...args: string[]) =>
      promisify(execFile)(process.execPath, ['server/start.mjs', '--prepared', '--admin', ...args], {
        env: { ...process.env, STAGECALL_DATA: folder, STAGECALL_DATABASE: database, INIT_CWD: folder },
      })
    expect((await admin('people')).stdout).toMatch(/manager\tAnn\t1 phones/)
    expect((await admin('archive', 'team.zip')).stdout).toMatch(/^Wrote \d+ parts/)
    await expect(admin('import', '--yes', 'team.zip')).rejects.toThrow(/another board serves this database/)
    await expect(admin('backup', 'b.db')).rejects.toThrow(/in PostgreSQL .*: pg_dump copies it/)
    await expect(admin('verify')).rejects.toThrow(/pg_amcheck/)
    await expect(admin('invite', '--role', 'guest', '--demo')).rejects.toThrow(/demo keeps to SQLite/)
    // None of them took the board from its server.
    expect(server.running).toBe(true)
    expect(await server.stop()).toBe(0)
    expect((await admin('import', '--yes', 'team.zip')).stdout).toMatch(/Imported 0 values/)
  },
  3 * START_MS,
)
