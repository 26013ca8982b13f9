import { createHash } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { answerTo } from '@/app/offline/answers'
import { BuildCache } from '@/app/offline/build-cache'
import { hasOtherPages, isAloneSoon } from '@/app/offline/old-pages'
import { BUILD_HEADER } from '@/lib/core/build-header'
import { FakeCaches } from '../../support/fake-caches'

const ORIGIN = 'https://board.invalid'
const FILES: Record<string, string> = { '/_next/static/a.js': 'a of one', '/_next/static/b.js': 'b of one' }
const integrity = (text: string) => `sha256-${createHash('sha256').update(text).digest('base64')}`
const assets = Object.fromEntries(Object.entries(FILES).map(([path, text]) => [path, integrity(text)]))

let caches: FakeCaches
let network: (path: string) => Response | Promise<Response>
let asked: string[]
beforeEach(() => {
  caches = new FakeCaches()
  asked = []
  network = (path) => (path in FILES ? new Response(FILES[path]) : page('one', path))
})

const page = (build: string, text: string, more: Record<string, string> = {}) =>
  new Response(text, {
    headers: { 'content-type': 'text/html; charset=utf-8', [BUILD_HEADER]: build, ...more },
  })
const signInPage = () => new Response('Pay for the network', { headers: { 'content-type': 'text/html' } })
const offline = () => {
  throw new TypeError('Failed to fetch')
}

/** As browsers fetch: integrity is checked. */
const fetched = async (input: string | Request, init: RequestInit = {}) => {
  const path = new URL(typeof input === 'string' ? input : input.url, ORIGIN).pathname
  asked.push(path)
  const response = await network(path)
  if (init.integrity && integrity(await response.clone().text()) !== init.integrity)
    throw new TypeError('Failed to fetch')
  return response
}
const cacheOf = (name: string) => new BuildCache({ name, assets }, { caches, fetch: fetched })

/** Ask as a page would; `mode` can't be given to a `Request` of one's own. */
async function ask(
  kept: BuildCache,
  path: string,
  o: { mode?: string; method?: string; slow?: boolean } = {},
) {
  const request = { url: ORIGIN + path, method: o.method ?? 'GET', mode: o.mode ?? 'navigate' } as Request
  const work: Promise<unknown>[] = []
  const answer = answerTo(
    {
      kept,
      fetch: fetched,
      wait: () => (o.slow ? Promise.resolve() : new Promise(() => undefined)),
      origin: ORIGIN,
    },
    { request, waitUntil: (w) => work.push(w) },
  )
  const response = await answer
  if (!o.slow) await Promise.all(work)
  return response
}
const file = (kept: BuildCache, path: string) => ask(kept, path, { mode: 'no-cors' })

describe('the files of a build', () => {
  it('are all kept, each once, and given without the network from then on', async () => {
    const kept = cacheOf('one')
    await kept.keepAssets()
    await kept.keepAssets()
    expect(asked.sort()).toEqual(Object.keys(FILES))
    network = offline
    expect(await (await file(kept, '/_next/static/a.js'))?.text()).toBe('a of one')
  })

  it('that are not what the build made are passed on and never kept', async () => {
    const kept = cacheOf('one')
    network = signInPage
    await expect(kept.keepAssets()).rejects.toThrow(TypeError)
    expect(await (await file(kept, '/_next/static/a.js'))?.text()).toBe('Pay for the network')
    expect(caches.paths('stagecall-one')).toEqual([])
  })

  it('of another build are looked up among what is kept of it, and never mixed into this one', async () => {
    const old = new BuildCache(
      { name: 'old', assets: { '/_next/static/old.js': integrity('old') } },
      { caches, fetch: async () => new Response('old') },
    )
    await old.keepAssets()
    const kept = cacheOf('one')
    expect(await (await file(kept, '/_next/static/old.js'))?.text()).toBe('old')
    network = () => new Response('newer')
    expect(await (await file(kept, '/_next/static/newer.js'))?.text()).toBe('newer')
    expect(caches.paths('stagecall-one')).toEqual([])
    await kept.dropOthers()
    expect(await caches.keys()).toEqual(['stagecall-one'])
  })

  it('of the same name in a cache that another build left are refused from there', async () => {
    const poisoned = await caches.open('stagecall-old')
    await poisoned.put('/_next/static/a.js', new Response('not ours'))
    expect(await (await file(cacheOf('one'), '/_next/static/a.js'))?.text()).toBe('a of one')
  })

  it('kept of another build come without the address that they were fetched from', async () => {
    const old = await caches.open('stagecall-old')
    const response = new Response('old')
    Object.defineProperty(response, 'clone', {
      value: () => Object.defineProperty(new Response('old'), 'url', { value: `${ORIGIN}/w.js#first` }),
    })
    old.match = async () => response.clone()
    const other = {
      ...caches,
      keys: async () => ['stagecall-old'],
      open: async (name: string) => (name === 'stagecall-old' ? old : caches.open(name)),
    }
    const kept = new BuildCache({ name: 'one', assets }, { caches: other, fetch: fetched })
    expect((await kept.asset('/_next/static/w.js'))?.url).toBe('')
  })

  it('without room on the device: what fits is kept, and the rest comes from the network', async () => {
    const kept = cacheOf('one')
    caches.room = 1
    await kept.keepAssets()
    expect(caches.paths('stagecall-one')).toHaveLength(1)
    for (const [path, text] of Object.entries(FILES))
      expect(await (await file(kept, path))?.text()).toBe(text)
    expect(await kept.keepPages(['/'])).toBe(false)
  })
})

describe('pages', () => {
  it('come from the network and are kept for when there is none', async () => {
    const kept = cacheOf('one')
    expect(await (await ask(kept, '/tools?x=1'))?.text()).toBe('/tools')
    network = offline
    const again = (await ask(kept, '/tools?y=2'))!
    expect([await again.text(), again.url, again.headers.get(BUILD_HEADER)]).toEqual(['/tools', '', 'one'])
  })

  it('are found whatever the server says that its answers vary by', async () => {
    const kept = cacheOf('one')
    network = (path) => page('one', path, { vary: 'rsc, next-router-state-tree, Accept-Encoding' })
    await ask(kept, '/tools')
    network = offline
    expect(await (await ask(kept, '/tools'))?.text()).toBe('/tools')
  })

  it('of another build are shown and not kept', async () => {
    const kept = cacheOf('one')
    await ask(kept, '/tools')
    network = () => page('two', 'newer')
    expect(await (await ask(kept, '/tools'))?.text()).toBe('newer')
    expect(await kept.keepPages(['/help'])).toBe(false)
    network = offline
    expect(await (await ask(kept, '/tools'))?.text()).toBe('/tools')
    expect(caches.paths('stagecall-one')).toEqual(['/tools'])
  })

  it.each([
    ['with 200', signInPage],
    [
      'by sending to another site',
      () => new Response(null, { status: 302, headers: { location: 'https://portal.invalid/' } }),
    ],
    [
      'after a redirect',
      () => Object.defineProperty(page('one', 'elsewhere'), 'redirected', { value: true }),
    ],
    ['with an error', () => new Response('Bad gateway', { status: 502 })],
  ] as const)(
    'a network that answers %s in the board’s place never gets its page kept',
    async (how, answer) => {
      const kept = cacheOf('one')
      network = answer
      await ask(kept, '/tools')
      expect(await kept.keepPages(['/help'])).toBe(false)
      expect(caches.paths('stagecall-one')).toEqual([])
      network = () => page('one', 'ours')
      await ask(kept, '/tools')
      network = answer
      // What says it is the board is believed: only the first and last answers do not.
      if (how !== 'after a redirect') expect(await (await ask(kept, '/tools'))?.text()).toBe('ours')
    },
  )

  it('are shown as they were kept when the network does not answer soon, and kept anew when it does', async () => {
    const kept = cacheOf('one')
    await ask(kept, '/tools')
    let answer: (r: Response) => void = () => undefined
    network = () => new Promise((resolve) => (answer = resolve))
    expect(await (await ask(kept, '/tools', { slow: true }))?.text()).toBe('/tools')
    answer(page('one', 'late'))
  })

  it('never opened lead to the list of meetings, or say in words that nothing is kept', async () => {
    const kept = cacheOf('one')
    network = offline
    const words = (await ask(kept, '/board/x/order'))!
    expect(words.status).toBe(503)
    expect(await words.text()).toContain('Try again')
    network = (path) => page('one', path)
    await kept.keepPages(['/'])
    network = offline
    const redirect = Response.redirect
    Response.redirect = (to, status) =>
      new Response(null, { status: status ?? 302, headers: { location: String(to) } })
    try {
      expect((await ask(kept, '/board/x/order'))?.headers.get('location')).toBe('/')
    } finally {
      Response.redirect = redirect
    }
  })
})

it.each([
  ['data', '/api/session', {}],
  ['what is sent', '/tools', { method: 'POST' }],
  ['the router’s own requests', '/tools?_rsc=1', { mode: 'cors' }],
] as const)('%s goes its way as if there were no service worker', async (_, path, how) => {
  expect(await ask(cacheOf('one'), path, how)).toBe(null)
})

it('old pages are open as long as one holds no lock of this build', async () => {
  const open = (windows: number, held: string[]) =>
    hasOtherPages('one', {
      clients: { matchAll: async () => Array(windows).fill(null) },
      locks: { query: async () => ({ held: held.map((name) => ({ name })), pending: [] }) },
    })
  expect(await open(2, ['stagecall-one', 'stagecall-one', 'another'])).toBe(false)
  expect(await open(2, ['stagecall-one', 'stagecall-two'])).toBe(true)
  expect(await open(1, [])).toBe(true)
  expect(await open(0, [])).toBe(false)
})

it('a page that is just being closed is waited for; one that stays open is not waited for long', async () => {
  const alone = async (looksWithOld: number) => {
    let looks = 0
    const waited: number[] = []
    const isAlone = await isAloneSoon(
      'one',
      {
        clients: { matchAll: async () => Array(++looks > looksWithOld ? 1 : 2).fill(null) },
        locks: { query: async () => ({ held: [{ name: 'stagecall-one' }], pending: [] }) },
      },
      async (ms) => void waited.push(ms),
    )
    return { isAlone, waits: waited.length }
  }
  expect(await alone(0)).toEqual({ isAlone: true, waits: 0 })
  expect(await alone(2)).toEqual({ isAlone: true, waits: 2 })
  expect(await alone(Infinity)).toEqual({ isAlone: false, waits: 7 })
})
