/**
 * `npm run bench:season`: the season's screen on a big season, in Chromium at a quarter of the speed, from the device's own store and without network.
 *
 * 30 meetings with 4,000 runs of 24 cars and 60 packs, generated from fixed seeds, are written into the browser's store as the board writes them there (one Yjs update per
 * document). Then the season is opened:
 *
 * - "index": from the moment in which the page starts the season's thread until the thread says that everything is read and indexed, with what it worked out at the
 *   visit before still kept. Median of all visits.
 * - "read": the same until it says that everything is read, which is when runs can be listed, filtered and compared; no goal.
 * - "first index": the same with nothing kept: all documents are decoded and judged. It happens once per device and after an upgrade; it has no goal.
 * - "filter": from the press on a group's name until the frame that shows the runs of that group alone: how many they are and the first six. Median of all presses.
 * - "filter, own time": what the page's thread worked for the same, by the thread's own clock, which stands while other programs have the core; no goal.
 * - "whole filter": the same until all rows that are listed are there; no goal.
 * - "search": from the last letter of “loose on entry” until the frame that shows what was found; no goal.
 *
 * Chromium's slowdown (`Emulation.setCPUThrottlingRate`) holds the page's own thread alone and no worker. What the season's thread took by its own clock is therefore
 * added three times more: the figures are as if both were slowed down four times.
 *
 * Options: --visits 5 --rate 4. Exits 1 where a goal is missed.
 */
import { loadavg } from 'node:os'
import { parseArgs } from 'node:util'
import type { Page } from 'playwright'
import * as Y from 'yjs'
import { PAGE } from '@/app/season/season-address'
import { closeBrowser, phone, signIn } from '../support/browser'
import { meetingIdOf, seasonKit, seasonMeeting, type SeasonSize } from '../support/season-docs'
import { ServerProcess } from '../support/server-process'
import { setup as buildScreens } from '../support/e2e-setup.mjs'

const { values: o } = parseArgs({
  options: { visits: { type: 'string', default: '5' }, rate: { type: 'string', default: '4' } },
})
const SIZE: SeasonSize = { cars: 24, packs: 60, tracks: 6, meetings: 30, runs: 4000 }
const GOALS = { index: 1000, filter: 100 } as const
const rate = Number(o.rate)

/** Notes when the season's thread was started and what it said when, ms of the page's clock. */
const WATCH_THREAD = `{
  // What tsx puts around inner functions.
  window.__name ??= (f) => f
  const Real = window.Worker
  window.__season = { started: null, read: null, readTook: 0, indexed: null, indexedTook: 0, answers: [] }
  window.Worker = class extends Real {
    constructor(...args) {
      super(...args)
      if (!/season-worker/.test(String(args[0]))) return
      const seen = window.__season
      seen.started = performance.now()
      this.addEventListener('message', ({ data }) => {
        const news = JSON.parse(data)
        if (news.kind === 'meetings' && news.isRead && seen.read === null) {
          seen.read = performance.now()
          seen.readTook = news.tookMs
        }
        if (news.kind === 'searchable' && seen.indexed === null) {
          seen.indexed = performance.now()
          seen.indexedTook = seen.readTook + news.tookMs
        }
        if (news.kind === 'answer') seen.answers.push({ at: performance.now(), took: news.answer.tookMs, found: news.answer.found })
      })
    }
  }
}`

interface Seen {
  started: number | null
  read: number | null
  readTook: number
  indexed: number | null
  indexedTook: number
  answers: { at: number; took: number; found: number }[]
}
const seenBy = (page: Page) => page.evaluate(() => (window as unknown as { __season: Seen }).__season)

/** Until the frame in which the text of a place is as asked for; looks only when the page has changed. */
const shown = (page: Page, selector: string, pattern: string) =>
  page.evaluate(
    ([where, text]) =>
      new Promise<number>((resolve) => {
        const look = () => {
          if (!new RegExp(text).test(document.querySelector(where)?.textContent ?? '')) return
          observer.disconnect()
          requestAnimationFrame(() => setTimeout(() => resolve(performance.now())))
        }
        const observer = new MutationObserver(look)
        observer.observe(document.body, { subtree: true, childList: true, characterData: true })
        look()
      }),
    [selector, pattern] as const,
  )
const RUNS = 'section[aria-label="Runs"] h2'
const ALL = `^${SIZE.runs} runs$`

/** Until the frame in which so many runs are listed. */
const listed = (page: Page, rows: number) =>
  page.evaluate(
    (least) =>
      new Promise<number>((resolve) => {
        const look = () => {
          if (document.querySelectorAll('section[aria-label="Runs"] tbody tr').length < least) return
          observer.disconnect()
          requestAnimationFrame(() => setTimeout(() => resolve(performance.now())))
        }
        const observer = new MutationObserver(look)
        observer.observe(document.body, { subtree: true, childList: true })
        look()
      }),
    rows,
  )

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[sorted.length >> 1] ?? NaN
}
const list = (values: readonly number[]) => values.map((v) => v.toFixed(0)).join(', ')

/** Everything into the browser's own store, in the place of what is there. */
async function store(page: Page): Promise<number> {
  const rooms = [
    { room: 'kit', doc: seasonKit(SIZE) },
    ...Array.from({ length: SIZE.meetings }, (_, n) => ({
      room: `meeting-${meetingIdOf(n)}`,
      doc: seasonMeeting(SIZE, n),
    })),
  ]
  let bytes = 0
  for (const { room, doc } of rooms) {
    const update = Y.encodeStateAsUpdate(doc)
    bytes += update.byteLength
    await page.evaluate(
      async ([name, base64]) => {
        const bin = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))
        const db = await new Promise<IDBDatabase>((resolve, reject) => {
          const request = indexedDB.open('stagecall')
          request.onsuccess = () => resolve(request.result)
          request.onerror = () => reject(new Error('no store'))
        })
        await new Promise<void>((resolve, reject) => {
          const tx = db.transaction(['updates'], 'readwrite')
          const rows = tx.objectStore('updates')
          rows.index('room').openKeyCursor(name).onsuccess = (e) => {
            const at = (e.target as IDBRequest<IDBCursor | null>).result
            if (at) {
              rows.delete(at.primaryKey)
              at.continue()
            } else rows.add({ room: name, encoding: 1, update: bin, local: false })
          }
          tx.oncomplete = () => resolve()
          tx.onerror = () => reject(new Error('not written'))
        })
        db.close()
      },
      [room, Buffer.from(update).toString('base64')] as const,
    )
  }
  return bytes
}

await buildScreens()
const server = await ServerProcess.start({ demo: false })
let missed = 0
try {
  const context = await phone()
  await signIn(context, server.origin, await server.join('mechanic', { name: 'Bench' }))
  const page = await context.newPage()
  await page.addInitScript(WATCH_THREAD)
  await page.goto(`${server.origin}/season`)
  await page.waitForFunction(() => navigator.serviceWorker.controller?.state === 'activated')
  await page.waitForFunction(() => caches.match('/season').then((kept) => kept !== undefined))
  await context.setOffline(true)
  await page.goto(`${server.origin}/season`)
  const bytes = await store(page)
  console.log(
    `${SIZE.meetings} meetings, ${SIZE.runs} runs, ${SIZE.packs} packs: ${(bytes / 1e6).toFixed(1)} MB of documents; load of the machine ${loadavg()[0]?.toFixed(1)}`,
  )
  const device = await context.newCDPSession(page)
  await device.send('Emulation.setCPUThrottlingRate', { rate })

  const first: number[] = []
  const index: number[] = []
  const readOf: number[] = []
  const own: number[] = []
  for (let visit = 0; visit <= Number(o.visits); visit++) {
    await page.goto('about:blank')
    await page.goto(`${server.origin}/season`)
    await shown(page, 'main h1 + p', `^${SIZE.runs} runs at ${SIZE.meetings} meetings$`)
    await page.waitForFunction(() => (window as unknown as { __season: Seen }).__season.indexed !== null)
    const { started, read, readTook, indexed, indexedTook } = await seenBy(page)
    if (started === null || read === null || indexed === null) throw new Error('The thread said nothing')
    ;(visit === 0 ? first : index).push(indexed - started + (rate - 1) * indexedTook)
    if (visit > 0) readOf.push(read - started + (rate - 1) * readTook)
    own.push(indexedTook)
    // What was worked out is written down behind the answer.
    await page.waitForTimeout(2000)
  }

  await device.send('Performance.setTimeDomain', { timeDomain: 'threadTicks' })
  await device.send('Performance.enable')
  const threadMs = async () => {
    const { metrics } = await device.send('Performance.getMetrics')
    return (metrics.find((m) => m.name === 'TaskDuration')?.value ?? NaN) * 1000
  }
  const filter: number[] = []
  const filterOwn: number[] = []
  const wholeFilter: number[] = []
  for (let i = 0; i < 2 * Number(o.visits); i++) {
    const name = await page.locator('.season-table tbody th button').nth(i).innerText()
    const before = (await seenBy(page)).answers.length
    const worked = await threadMs()
    const pressed = await page.getByRole('button', { name, exact: true }).evaluate((button: HTMLElement) => {
      const now = performance.now()
      button.click()
      return now
    })
    const at = await shown(page, RUNS, `^(?!${SIZE.runs} )`)
    filterOwn.push((await threadMs()) - worked)
    const { answers } = await seenBy(page)
    const took = answers.slice(before).reduce((sum, a) => sum + a.took, 0)
    filter.push(at - pressed + (rate - 1) * took)
    const whole = await listed(page, Math.min(PAGE, answers.at(-1)?.found ?? 0))
    wholeFilter.push(whole - pressed + (rate - 1) * took)
    await page.getByRole('button', { name: 'Show all' }).click()
    await shown(page, RUNS, ALL)
  }

  const search: number[] = []
  for (let i = 0; i < Number(o.visits); i++) {
    const field = page.getByRole('searchbox', { name: 'Find' })
    await field.fill('loose on entr')
    await shown(page, 'section[aria-label="Runs"] small', '^The best match first$')
    await page.waitForTimeout(500)
    const before = (await seenBy(page)).answers.length
    const pressed = await page.evaluate(() => performance.now())
    await field.press('End')
    await field.press('y')
    await page.waitForFunction(
      (n) => (window as unknown as { __season: Seen }).__season.answers.length > n,
      before,
    )
    const at = await page.evaluate(
      () =>
        new Promise<number>((resolve) =>
          requestAnimationFrame(() => setTimeout(() => resolve(performance.now()))),
        ),
    )
    const took = (await seenBy(page)).answers.slice(before).reduce((sum, a) => sum + a.took, 0)
    search.push(at - pressed + (rate - 1) * took)
    await page.getByRole('button', { name: 'Show all' }).click()
    await shown(page, RUNS, ALL)
  }

  console.log(`The thread's own time, not slowed down: ${list(own)} ms`)
  const judge = (what: string, values: readonly number[], goal: number | null) => {
    const ms = median(values)
    const isMissed = goal !== null && !(ms <= goal)
    if (isMissed) missed++
    const said = goal === null ? 'no goal' : `goal ${goal} ms: ${isMissed ? 'MISSED' : 'met'}`
    console.log(`${what}: ${ms.toFixed(0)} ms (${list(values)}), ${said}`)
  }
  judge('first index', first, null)
  judge('index', index, GOALS.index)
  judge('read', readOf, null)
  judge('filter', filter, GOALS.filter)
  judge('filter, own time', filterOwn, null)
  judge('whole filter', wholeFilter, null)
  judge('search', search, null)
  await context.close()
} finally {
  await closeBrowser()
  await server.dispose()
}
if (missed > 0) process.exitCode = 1
