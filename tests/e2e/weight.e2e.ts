import { afterAll, beforeAll, expect, it } from 'vitest'
import { gzipSync } from 'node:zlib'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { SESSION_COOKIE } from '@/lib/join/session-cookie'
import { closeBrowser, isWhole, phone, signIn } from '../support/browser'
import { ServerProcess, type JoinedClient } from '../support/server-process'

/**
 * What script a screen's document asks for, compressed, in kB (thousands of bytes): held at what was reached, with what is wished for beside it. Four
 * rose by 2 to 5 kB when the rules of standings came into the board's fields, and every page began to count the photos that wait; three by 1 to 2 kB when a long
 * day's forecast came to be drawn beside the screen. The figures of a real browser, until the screen can be used, are printed by `npm run bench:load`.
 */
const BOARD = `/board/${DEMO_MEETING_ID}`
const SCREENS = [
  { path: '/join', most: 151, goal: 150 },
  { path: `${BOARD}/staging/any`, most: 300, goal: 190 },
  { path: `${BOARD}/order`, most: 314, goal: 260 },
  { path: `${BOARD}/card/rook`, most: 341, goal: 300 },
  { path: `${BOARD}/jobs`, most: 308, goal: null },
] as const

let server: ServerProcess
let cookie: string
let who: JoinedClient
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  who = await server.join('manager', { personId: 'petra-amsel' })
  cookie = `${SESSION_COOKIE}=${who.token}`
})
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** Scripts of the document itself; what only old browsers take (`nomodule`) is not loaded by any that runs the board. */
const scriptsOf = (html: string): string[] => [
  ...new Set(
    [...html.matchAll(/<(?:script|link)\b[^>]*>/gi)].flatMap(([tag]) => {
      const src = /(?:src|href)="([^"]+\.js[^"]*)"/.exec(tag)?.[1]
      const isScript = tag.startsWith('<script') || tag.includes('as="script"')
      return src && isScript && !/nomodule/i.test(tag) ? [src] : []
    }),
  ),
]

it.each(SCREENS)('$path asks for no more script than it did', async ({ path, most, goal }) => {
  const html = await (await fetch(server.origin + path, { headers: { cookie } })).text()
  const scripts = scriptsOf(html)
  expect(scripts.length).toBeGreaterThan(2)
  let bytes = 0
  for (const src of scripts)
    bytes += gzipSync(Buffer.from(await (await fetch(new URL(src, server.origin))).arrayBuffer())).length
  const kB = Math.round(bytes / 1000)
  console.info(`${path}: ${kB} kB of script${goal === null ? '' : ` (goal ${goal})`}`)
  expect(kB).toBeLessThanOrEqual(most)
})

it('who somebody is, is asked once, beside the script that wants to know', async () => {
  const context = await phone()
  await signIn(context, server.origin, who)
  const page = await context.newPage()
  const asked: string[] = []
  page.on('request', (r) => void asked.push(new URL(r.url()).pathname))
  await page.goto(`${server.origin}${BOARD}/order`)
  await isWhole(page)
  expect(asked.filter((path) => path === '/api/session')).toHaveLength(1)
  const starts = await page.evaluate(() =>
    (performance.getEntriesByType('resource') as PerformanceResourceTiming[])
      .filter((r) => r.name.endsWith('/api/session'))
      .map((r) => r.initiatorType),
  )
  expect(starts).toEqual(['link'])
  await context.close()
})
