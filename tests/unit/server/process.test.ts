import { execFile } from 'node:child_process'
import { connect, createServer } from 'node:net'
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import { WebSocket } from 'ws'
import { CLOSE } from '@/lib/sync/close-codes'
import type { CrewResponse, PreviewResponse } from '@/lib/join/join-api'
import { readBoard } from '../../support/read-board'
import { ServerProcess } from '../../support/server-process'

const ROOT = fileURLToPath(new URL('../../..', import.meta.url))
/** Run start.mjs to its end with what it says. */
const run = (args: string[], env: Record<string, string>) =>
  new Promise<{ code: number; stdout: string; stderr: string }>((resolve) => {
    const child = execFile(
      process.execPath,
      ['server/start.mjs', ...args],
      { cwd: ROOT, env: { ...process.env, ...env } },
      (_, stdout, stderr) => resolve({ code: child.exitCode ?? -1, stdout, stderr }),
    )
  })

let server: ServerProcess | null = null
let folder: string
beforeAll(() => void (folder = mkdtempSync(join(tmpdir(), 'stagecall-process-'))))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
afterEach(async () => {
  await server?.dispose()
  server = null
})
const start = async (options: Parameters<typeof ServerProcess.start>[0] = {}) =>
  (server = await ServerProcess.start({ screens: false, ...options }))
const post = async (s: ServerProcess, path: string, body: unknown) =>
  fetch(s.origin + path, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  })
const codeOf = (url: string) => url.split('#')[1] ?? ''

describe('the server process', () => {
  it('prints a one-time manager link until there is a manager, and stops with 0', async () => {
    const s = await start()
    const first = s.links[0]?.url ?? ''
    expect(s.output).toContain(first)
    expect((await post(s, '/api/join', { code: codeOf(first), name: 'Boss' })).status).toBe(200)
    expect((await post(s, '/api/join', { code: codeOf(first), name: 'Other' })).status).toBe(422)
    expect(await s.stop()).toBe(0)
    // Everything is folded into the database file; no log is left to replay.
    expect(s.files().sort()).toEqual(['board.db', 'board.db-mark', 'server.lock'])
    await s.restart()
    expect(s.links).toEqual([])
  })

  it('the demo opens on its own day, also a day after its first start, and says that it wrote it anew', async () => {
    const room = 'meeting-saltmarsh-autumn-open'
    const yesterday = 'const now=Date.now;Date.now=()=>now()-86400000'
    const env = { NODE_OPTIONS: `--import data:text/javascript,${encodeURIComponent(yesterday)}` }
    const s = await start({ demo: true, env })
    expect(s.output).not.toContain('is over')
    const startsAt = async () => Number((await readBoard(s, room))['meeting']?.['meeting:startsAt'])
    const before = await startsAt()
    await s.stop()
    await s.restart()
    expect(s.output, 'the same day is left alone').not.toContain('is over')
    expect(await startsAt()).toBe(before)

    env.NODE_OPTIONS = ''
    await s.restart()
    expect(s.output).toMatch(/The demo meeting’s day, \w+day, \w+ \d+, is over: it was rebuilt for today/)
    const minutesLater = ((await startsAt()) - before) / 60_000
    expect(minutesLater).toBeGreaterThanOrEqual(1440)
    expect(minutesLater).toBeLessThan(1450)
    expect(await readBoard(s, 'meeting-saltmarsh-summer-open')).toHaveProperty('heats')
    // Three starts, and the demo's season written twice.
  }, 120_000)

  it('a start whose link nobody used replaces it', async () => {
    const s = await start()
    const first = codeOf(s.links[0]?.url ?? '')
    await s.stop()
    await s.restart()
    const second = codeOf(s.links[0]?.url ?? '')
    expect(second).not.toBe(first)
    expect((await post(s, '/api/join/preview', { code: first })).status).toBe(422)
    expect((await post(s, '/api/join/preview', { code: second })).status).toBe(200)
  })

  it('a stop tells open sockets, waits for no silent one, and ends with 0', async () => {
    const s = await start()
    const ann = await s.join('manager', { name: 'Ann' })
    const board = new WebSocket(`${s.origin.replace('http', 'ws')}/sync/kit`, {
      headers: { cookie: ann.cookie, origin: s.origin },
    })
    await new Promise((resolve, reject) => board.once('open', resolve).once('error', reject))
    const closed = new Promise<number>((resolve) => board.once('close', resolve))
    // Opens a socket and never says another word, not even in answer to a close.
    const silent = connect(s.port, '127.0.0.1')
    silent.write(
      `GET /sync/kit HTTP/1.1\r\nHost: localhost:${s.port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nCookie: ${ann.cookie}\r\nOrigin: ${s.origin}\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\nSec-WebSocket-Version: 13\r\n\r\n`,
    )
    await new Promise((resolve) => silent.once('data', resolve))
    silent.on('error', () => undefined)
    // A request that never ends.
    const slow = connect(s.port, '127.0.0.1', () =>
      slow.write('POST /api/join HTTP/1.1\r\nHost: localhost\r\n'),
    )
    slow.on('error', () => undefined)
    await new Promise((resolve) => slow.once('connect', resolve))
    expect(await s.stop()).toBe(0)
    expect(await closed).toBe(CLOSE.shutdown)
  })

  it('[S12] kill -9: sessions and people are there after the restart', async () => {
    const s = await start()
    const ann = await s.join('manager', { name: 'Ann' })
    await s.kill9()
    await s.restart()
    const res = await fetch(`${s.origin}/api/crew/people`, { headers: { cookie: ann.cookie } })
    expect(((await res.json()) as CrewResponse).people.map((p) => p.name)).toEqual(['Ann'])
  })

  it('the demo has its own data folder and one link each for manager, mechanic and driver', async () => {
    const s = await start({ demo: true })
    expect(s.output).toContain('demo meeting')
    const previews = await Promise.all(
      s.links.map(
        async ({ url }) =>
          (await (await post(s, '/api/join/preview', { code: codeOf(url) })).json()) as PreviewResponse,
      ),
    )
    expect(previews.map((p) => p.role)).toEqual(['manager', 'mechanic', 'driver'])
    for (const p of previews) expect(p.people.map((x) => x.name)).toContain(p.name)
    // The link alone says who it is for.
    const joined = await post(s, '/api/join', { code: codeOf(s.links[2]?.url ?? '') })
    expect(await joined.json()).toMatchObject({ session: { role: 'driver', name: previews[2]?.name } })
    const before = await s.stop()
    expect(before).toBe(0)
    await s.restart()
    expect((await fetch(`${s.origin}/healthz`)).status).toBe(200)
  }, 60_000)

  it('says what to do when the port is taken, a setting is wrong, or the data folder is in use', async () => {
    const taken = createServer()
    await new Promise<void>((resolve) => taken.listen(0, '127.0.0.1', resolve))
    const { port } = taken.address() as { port: number }
    const env = { HOST: '127.0.0.1', STAGECALL_DATA: join(folder, 'taken') }
    const clash = await run(['--prepared', '--no-screens'], { ...env, PORT: String(port) })
    taken.close()
    expect([clash.code, clash.stderr]).toEqual([1, expect.stringContaining(`Port ${port} is taken`)])
    const wrong = await run(['--prepared', '--no-screens'], { ...env, PORT: 'abc' })
    expect([wrong.code, wrong.stderr]).toEqual([1, expect.stringMatching(/PORT is “abc”.*Set PORT/)])
    const s = await start()
    const second = await run(['--prepared', '--no-screens'], {
      ...env,
      PORT: '0',
      STAGECALL_DATA: s.dataFolder,
    })
    expect([second.code, second.stderr]).toEqual([
      1,
      expect.stringContaining('Another board is already running on'),
    ])
    expect((await fetch(`${s.origin}/healthz`)).status).toBe(200)
  }, 60_000)
})

describe('the admin command', () => {
  it('invites before the first start and beside a running server; revokes; lists', async () => {
    const env = { STAGECALL_DATA: join(folder, 'early'), PORT: '4321' }
    const early = await run(['--admin', 'invite', '--role', 'mechanic', '--name', 'Ann', '--single-use'], env)
    expect(early.stdout).toMatch(
      /^http:\/\/[\w.]+:4321\/join#[0-9a-z]{16}\nCode [0-9A-Z]{4}(-[0-9A-Z]{4}){3} · mechanic · one phone only/,
    )
    const s = await start()
    const beside = { STAGECALL_DATA: s.dataFolder }
    const live = await run(['--admin', 'invite', '--role', 'guest'], beside)
    const link = live.stdout.split('\n')[0] ?? ''
    expect(link).toContain(`:${s.port}/join#`)
    expect((await post(s, '/api/join', { code: codeOf(link), name: 'Gus' })).status).toBe(200)
    expect((await run(['--admin', 'people'], beside)).stdout).toMatch(/guest\tGus\t1 phones/)
    const session = (await run(['--admin', 'sessions'], beside)).stdout.split('\t')[0] ?? ''
    expect((await run(['--admin', 'revoke', session], beside)).stdout).toContain('One phone removed')
    expect((await run(['--admin', 'sessions'], beside)).stdout).toContain('No phone has joined')
  }, 60_000)

  it('backs up beside a running server, verifies, and restores to a byte-equal export', async () => {
    const s = await start()
    await s.join('manager', { name: 'Ann' })
    const env = { STAGECALL_DATA: s.dataFolder, INIT_CWD: folder }
    const file = (name: string) => join(folder, name)
    expect((await run(['--admin', 'backup', 'a.backup'], env)).stdout).toMatch(/Backed up \d+ rows/)
    expect(await run(['--admin', 'verify', 'a.backup'], env)).toMatchObject({
      code: 0,
      stdout: expect.stringContaining('sound') as string,
    })
    copyFileSync(file('a.backup'), file('flipped.backup'))
    const bytes = readFileSync(file('flipped.backup'))
    const at = bytes.indexOf('Ann')
    expect(at).toBeGreaterThan(0)
    bytes[at] = (bytes[at] ?? 0) ^ 4
    writeFileSync(file('flipped.backup'), bytes)
    expect(await run(['--admin', 'verify', 'flipped.backup'], env)).toMatchObject({
      code: 1,
      stdout: expect.stringMatching(/not as it was|Row \d+/) as string,
    })
    await run(['--admin', 'export', 'before.json'], env)
    await s.join('mechanic', { name: 'Bob' })
    const early = await run(['--admin', 'restore', 'a.backup'], env)
    expect([early.code, early.stderr]).toEqual([1, expect.stringContaining('Stop it first')])
    await s.stop()
    await run(['--admin', 'export', 'after.json'], env)
    expect(readFileSync(file('after.json'), 'utf8')).toContain('Bob')
    expect((await run(['--admin', 'restore', 'a.backup'], env)).code).toBe(0)
    await run(['--admin', 'export', 'restored.json'], env)
    expect(readFileSync(file('restored.json'))).toEqual(readFileSync(file('before.json')))
    await s.restart()
    expect((await run(['--admin', 'people'], env)).stdout).not.toContain('Bob')
  }, 90_000)

  it('wrong use is answered with how it is used', async () => {
    const env = { STAGECALL_DATA: join(folder, 'wrong') }
    for (const [args, message] of [
      [['invite'], /--role is “”; it must be one of manager, mechanic/],
      [['invite', '--role', 'guest', '--hours', 'x'], /--hours is “x”/],
      [['dance'], /There is no command “dance”/],
      [['invite', '--rolle', 'x'], /--rolle/],
      [['backup'], /backup FILE/],
      [['verify', join(folder, 'none')], /^$/],
    ] as const) {
      const { code, stderr } = await run(['--admin', ...args], env)
      expect(code).toBe(1)
      expect(stderr).toMatch(message)
    }
  }, 60_000)
})
