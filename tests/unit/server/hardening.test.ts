import { request } from 'node:http'
import { connect } from 'node:net'
import { hostname } from 'node:os'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { DatabaseError } from '@/drizzle/database-error'
import { clientAddress } from '@/server/http/client-address'
import { deviceLabel } from '@/server/http/device-label'
import { isOwnHost } from '@/server/http/host-check'
import { contentSecurityPolicy } from '@/server/http/security-headers'
import { TokenBuckets } from '@/server/http/token-buckets'
import { apiServer, type ApiServer } from '../../support/api-server'

let api: ApiServer
beforeEach(async () => {
  api = await apiServer({
    startScreens: () =>
      Promise.resolve({
        handle: (req, res) => {
          res.setHeader('content-type', 'text/html')
          res.end(JSON.stringify({ url: req.url, policy: req.headers['content-security-policy'] ?? null }))
          return Promise.resolve()
        },
        upgrade: () => undefined,
        close: () => Promise.resolve(),
      }),
  })
})
afterEach(() => api.close())

/** fetch sets Host and Origin itself; this does not. */
const raw = (path: string, headers: Record<string, string>, method = 'GET', body = '') =>
  new Promise<{ status: number; headers: Record<string, unknown>; text: string }>((resolve, reject) => {
    const req = request(api.origin + path, { method, headers }, (res) => {
      let text = ''
      res.on('data', (c: Buffer) => void (text += c.toString()))
      res.on('end', () => resolve({ status: res.statusCode ?? 0, headers: res.headers, text }))
    })
    req.on('error', reject)
    req.end(body)
  })
const post = (headers: Record<string, string>, body = '{"code":"x"}') =>
  raw('/api/join/preview', { 'content-type': 'application/json', ...headers }, 'POST', body)

describe('HTTP hardening', () => {
  it('every page has its own nonce, and the screens are told the same policy', async () => {
    const [a, b] = await Promise.all([api.get('/'), api.get('/kit')])
    const nonces = [a, b].map(
      (r) => /'nonce-([^']+)'/.exec(r.headers.get('content-security-policy') ?? '')?.[1],
    )
    expect(new Set(nonces).size).toBe(2)
    expect(Buffer.from(nonces[0] ?? '', 'base64')).toHaveLength(16)
    expect(await a.json()).toEqual({ url: '/', policy: a.headers.get('content-security-policy') })
  })

  it('the policy allows no inline script, no foreign host, no framing', () => {
    const policy = contentSecurityPolicy({ host: '10.0.0.2:4310', secure: false, nonce: 'abc', dev: false })
    const directives = new Map(policy.split('; ').map((d) => [d.split(' ')[0], d.split(' ').slice(1)]))
    expect(directives.get('script-src')).toEqual([
      `'self'`,
      `'nonce-abc'`,
      `'strict-dynamic'`,
      `'wasm-unsafe-eval'`,
    ])
    expect(directives.get('connect-src')).toEqual([`'self'`, 'ws://10.0.0.2:4310'])
    expect(directives.get('frame-ancestors')).toEqual([`'none'`])
    expect(directives.get('object-src')).toEqual([`'none'`])
    expect(directives.get('base-uri')).toEqual([`'none'`])
    expect(policy).not.toMatch(/unsafe-eval'(?<!wasm-unsafe-eval')|\*|https?:/)
  })

  it('a policy or nonce that a client sends is not passed on', async () => {
    const res = await raw('/', { 'content-security-policy': `script-src 'nonce-evil'` })
    expect(res.text).not.toContain('evil')
    const asset = await raw('/_next/static/x.js', { 'content-security-policy': `script-src 'nonce-evil'` })
    expect(JSON.parse(asset.text)).toEqual({ url: '/_next/static/x.js', policy: null })
  })

  it.each([
    '/',
    '/api/session',
    '/healthz',
    '/healthz/live',
    '/healthz/ready',
    '/metrics',
    '/_next/static/x.js',
  ])('%s carries the security headers', async (path) => {
    const { headers } = await api.get(path)
    expect(headers.get('x-content-type-options')).toBe('nosniff')
    expect(headers.get('referrer-policy')).toBe('no-referrer')
    expect(headers.get('content-security-policy')).toContain(`frame-ancestors 'none'`)
    expect(headers.get('permissions-policy')).toContain('geolocation=()')
    expect(headers.get('x-powered-by')).toBeNull()
  })

  it('a POST from another site is refused', async () => {
    const own = new URL(api.origin).host
    expect((await post({})).status).toBe(422)
    expect((await post({ origin: api.origin, 'sec-fetch-site': 'same-origin' })).status).toBe(422)
    for (const origin of ['http://evil.example', `https://${own.split(':')[0]}:1`, 'null', 'file://'])
      expect((await post({ origin })).status).toBe(403)
    for (const site of ['cross-site', 'same-site'])
      expect((await post({ origin: api.origin, 'sec-fetch-site': site })).status).toBe(403)
  })

  it('a foreign Host is turned away: DNS rebinding', async () => {
    for (const host of [
      'evil.example',
      'evil.example:4310',
      'localhost.evil.example',
      '127.0.0.1.evil.example',
      'a b',
      'laptop.local',
    ])
      expect((await raw('/api/session', { host })).status).toBe(421)
    for (const host of [
      'localhost:4310',
      '[::1]:4310',
      '192.168.1.7',
      'pit.example',
      `${hostname().split('.')[0]}.local`,
    ])
      expect((await raw('/api/session', { host })).status).toBe(200)
    expect(isOwnHost(undefined, [])).toBe(false)
  })

  it('bodies are limited, must be JSON, and fit their schema', async () => {
    expect((await post({ 'content-type': 'text/plain' })).status).toBe(415)
    expect((await post({ 'content-type': 'application/x-www-form-urlencoded' }, 'code=x')).status).toBe(415)
    expect((await post({}, 'x'.repeat(70_000))).status).toBe(413)
    expect((await post({ 'transfer-encoding': 'chunked' }, 'x'.repeat(70_000))).status).toBe(413)
    // Nobody has to have joined to send a code: it is read no further than a code and a name are long.
    expect((await post({}, JSON.stringify({ code: 'x'.repeat(5000) }))).status).toBe(413)
    for (const bad of [
      '',
      '{',
      '[]',
      'null',
      '{"code":5}',
      '{"code":"x","more":1}',
      '{"__proto__":{},"code":[]}',
    ])
      expect((await post({}, bad)).status).toBe(400)
    expect((await post({}, '\u00ff')).status).toBe(400)
  })

  it('a client that asks too fast is slowed, and only that one', async () => {
    const all = await Promise.all(Array.from({ length: 130 }, () => api.get('/api/nothing')))
    const refused = all.filter((r) => r.status === 429)
    expect(refused).toHaveLength(10)
    expect(refused[0]?.headers.get('retry-after')).toBe('1')
    expect((await api.get('/api/nothing')).status).toBe(429)
    api.timers.advance(1000)
    expect((await api.get('/api/nothing')).status).toBe(404)
  })

  it('[S25] behind one address: who asks too much there keeps neither the crew nor a new phone out', async () => {
    const ann = await api.join('guest', 'Ann')
    for (let i = 0; i < 4; i++) await Promise.all(Array.from({ length: 50 }, () => api.get('/api/nothing')))
    expect((await api.get('/api/nothing')).status).toBe(429)
    expect((await api.get('/api/session')).status).toBe(200)
    expect((await api.get('/api/crew/people', ann.headers)).status).toBe(200)
    const bob = await api.send('/api/join', { code: api.invite('guest').code, name: 'Bob' })
    expect(bob.status).toBe(200)
    // One person's own haste stays their own.
    const own = await Promise.all(Array.from({ length: 130 }, () => api.get('/api/session', ann.headers)))
    expect(own.filter((r) => r.status === 429).length).toBeGreaterThan(5)
    const cookie = bob.headers.get('set-cookie')?.split(';')[0] ?? ''
    expect((await api.get('/api/crew/people', { cookie })).status).toBe(200)
  })

  it('a wall clock that was a day ahead slows nobody once it is right', async () => {
    api.clock.at += 24 * 3600_000
    await Promise.all(Array.from({ length: 130 }, () => api.get('/api/nothing')))
    api.clock.at -= 24 * 3600_000
    api.timers.advance(1000)
    expect((await api.get('/api/nothing')).status).toBe(404)
  })

  it('unknown addresses and methods are answered as such', async () => {
    expect((await api.get('/api/nothing')).status).toBe(404)
    expect((await api.get('/api/join')).status).toBe(405)
    expect((await raw('/kit', {}, 'POST')).status).toBe(405)
    expect((await raw('/kit', {}, 'DELETE')).status).toBe(405)
    expect((await api.get('/api/history?room=kit')).status).toBe(401)
  })

  it('history is checked and paged', async () => {
    const ann = await api.join('guest', 'Ann')
    const ask = async (query: string) => (await api.get(`/api/history?${query}`, ann.headers)).status
    expect(await ask('room=kit&limit=5')).toBe(200)
    for (const bad of ['', 'room=../etc', 'room=kit&limit=0', 'room=kit&limit=501', 'room=kit&beforeSeq=x'])
      expect(await ask(bad)).toBe(400)
  })

  it('a broken request or upgrade does not hurt the server', async () => {
    for (const bytes of [
      'GARBAGE\r\n\r\n',
      'GET /sync/kit HTTP/1.1\r\nHost: localhost\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n',
      'GET http://evil.example/ HTTP/1.1\r\nHost: localhost\r\n\r\n',
      'GET //evil HTTP/1.1\r\nHost: localhost\r\n\r\n',
      'GET /nowhere HTTP/1.1\r\nHost: localhost\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n',
      'GET /sync/kit HTTP/1.1\r\nHost: evil.example\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n',
    ])
      await new Promise<void>((resolve, reject) => {
        const socket = connect(api.server.port, '127.0.0.1', () => socket.write(bytes))
        socket.once('data', (d) => {
          expect(d.toString()).toMatch(/^HTTP\/1\.1 4\d\d /)
          socket.destroy()
          resolve()
        })
        socket.once('error', reject)
      })
    expect((await api.get('/healthz')).status).toBe(200)
  })

  it('errors of the database reach people as such, and secrets reach no log', async () => {
    const { code } = api.invite('guest')
    api.fake.fail(new DatabaseError('disk-full', 'SQLITE_FULL'))
    const res = await api.send('/api/join', { code, name: 'Ann' })
    expect(res.status).toBe(503)
    expect(await res.json()).toMatchObject({
      error: { reason: expect.stringContaining('disk is full') as string },
    })
    expect(api.log.join()).toContain('disk-full')
    expect(api.log.join()).not.toContain(code)
  })

  it('/healthz tells how the server is doing', async () => {
    api.timers.advance(61_000)
    expect(await (await api.get('/healthz')).json()).toEqual({
      status: 'ok',
      version: '0.0.0-test',
      uptimeS: 61,
      rooms: 0,
      sockets: 0,
      database: { writable: true, reason: null },
      notices: [],
    })
    api.fake.fail(new Error('the disk is full'))
    const trouble = await api.get('/healthz')
    expect(trouble.status).toBe(503)
    expect(await trouble.json()).toMatchObject({
      status: 'trouble',
      database: { writable: false, reason: 'the disk is full' },
    })
  })
})

describe('small parts', () => {
  it('token buckets refill and stay bounded', () => {
    const b = new TokenBuckets(2, 1, 3)
    expect([b.take('a', 0), b.take('a', 0), b.take('a', 0)]).toEqual([0, 0, 1000])
    expect(b.take('a', 1000)).toBe(0)
    for (const k of ['b', 'c', 'd', 'e']) b.take(k, 0)
    expect(b.keys).toBe(3)
  })
  it('addresses: IPv4-mapped as IPv4, IPv6 by its /64', () => {
    expect(clientAddress('::ffff:10.0.0.7')).toBe('10.0.0.7')
    expect(clientAddress('2001:db8:1:2:aaaa::1')).toBe(clientAddress('2001:0db8:1:2:bbbb:cccc:dddd:eeee'))
    expect(clientAddress('2001:db8:1:2::1')).not.toBe(clientAddress('2001:db8:1:3::1'))
    expect(clientAddress('fe80::1%eth0')).toBe('fe80:0:0:0::/64')
    expect(clientAddress(undefined)).toBe('unknown')
  })
  it('devices are called what their owners call them', () => {
    expect(
      deviceLabel('Mozilla/5.0 (Linux; Android 14; K) AppleWebKit/537.36 Chrome/130.0 Mobile Safari/537.36'),
    ).toBe('Android, Chrome')
    expect(
      deviceLabel(
        'Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) Version/17.5 Mobile/15E148 Safari/604.1',
      ),
    ).toBe('iPhone, Safari')
    expect(deviceLabel(undefined)).toBe('Unknown device')
  })
})
