import { request } from 'node:http'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it, onTestFinished } from 'vitest'
import { createSyncServer } from '@/server/sync/sync-server'
import { apiServer, type ApiServer } from '../../support/api-server'

const TOKEN = 'x7Qk2Lm9Rt4Vw8Yz'

/** With headers that fetch would not send. */
const ask = (port: number, path: string, headers: Record<string, string> = {}) =>
  new Promise<{ status: number; text: string }>((resolve, reject) => {
    const req = request({ port, host: '127.0.0.1', path, headers }, (res) => {
      let text = ''
      res.on('data', (chunk: Buffer) => void (text += chunk.toString()))
      res.on('end', () => resolve({ status: res.statusCode ?? 0, text }))
    })
    req.on('error', reject)
    req.end()
  })

let api: ApiServer
beforeEach(async () => {
  api = await apiServer()
})
afterEach(() => api.close())

describe('/healthz', () => {
  it('live while the process answers; ready only while the board can be written', async () => {
    expect((await api.get('/healthz/live')).status).toBe(200)
    expect((await api.get('/healthz/ready')).status).toBe(200)
    api.fake.fail(new Error('the disk is full'))
    expect((await api.get('/healthz/live')).status).toBe(200)
    const ready = await api.get('/healthz/ready')
    expect(ready.status).toBe(503)
    expect(await ready.text()).toBe('the disk is full\n')
  })
})

describe('/metrics', () => {
  it('is for this machine itself, and not for whom a proxy on it speaks for', async () => {
    const { port } = api.server
    expect((await ask(port, '/metrics')).status).toBe(200)
    expect((await ask(port, '/metrics', { host: 'localhost:4310' })).status).toBe(200)
    const others: Record<string, string>[] = [
      { host: 'pit.example' },
      { host: '192.0.2.7' },
      { 'x-forwarded-for': '192.0.2.7' },
      { forwarded: 'for=192.0.2.7' },
      { via: '1.1 proxy' },
    ]
    for (const headers of others) expect((await ask(port, '/metrics', headers)).status).toBe(404)
  })

  it('with a token set is for whoever brings it, and for nobody else', async () => {
    const guarded = await apiServer({
      settings: {
        port: 0,
        host: '127.0.0.1',
        dataFolder: join(api.dataFolder, 'guarded'),
        database: null,
        peer: null,
        teams: null,
        logLevel: 'info',
        metricsToken: TOKEN,
        allowedHosts: [],
      },
    })
    onTestFinished(() => guarded.close())
    const { port } = guarded.server
    expect((await ask(port, '/metrics')).status).toBe(404)
    expect((await ask(port, '/metrics', { authorization: `Bearer ${TOKEN}x` })).status).toBe(404)
    const behindProxy = { authorization: `Bearer ${TOKEN}`, 'x-forwarded-for': '192.0.2.7' }
    expect((await ask(port, '/metrics', behindProxy)).status).toBe(200)
  })

  it('counts what happens on the real sync, and names nobody', async () => {
    const real = await apiServer({ createSync: (parts) => createSyncServer(parts) })
    onTestFinished(() => real.close())
    await real.join('manager', 'Zebulon')
    const text = await (await real.get('/metrics')).text()
    const figure = (name: string) => Number(new RegExp(`^${name} (\\S+)$`, 'm').exec(text)?.[1])
    expect(figure('stagecall_serves_board')).toBe(1)
    expect(figure('stagecall_writable')).toBe(1)
    // The kit, into which joining has written a name and a role.
    expect(figure('stagecall_rooms')).toBe(1)
    expect(figure('stagecall_edits_accepted_total')).toBeGreaterThanOrEqual(2)
    expect(figure('stagecall_commit_seconds_count')).toBe(figure('stagecall_turns_total'))
    expect(figure('stagecall_commit_seconds_sum')).toBeGreaterThanOrEqual(0)
    expect(figure('stagecall_memory_resident_bytes')).toBeGreaterThan(1e6)
    expect(text).not.toMatch(/Zebulon|kit|meeting/)
  })
})
