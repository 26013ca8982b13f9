/**
 * `npm run bench:order`: what an edit costs the screen's own thread on a big day's running order, from the socket to the pixels.
 *
 * The demo's meeting with 600 heats and the team's cars three times over (24) is open on the running order, in Chromium slowed down four times, at the size
 * of a laptop. Another device then makes an edit that the screen shows. Measured is the page's main thread, as `editCost` says.
 *
 * Before that the whole day is scrolled down and up as by a finger, on a phone: the longest task on the way is held to the same goal, as `scrollCost` says.
 *
 * Options: --runs 9 --rate 4 --profile (lists the heaviest work by event) --trace DIR (keeps the traces there) --edit pack (one kind of edit alone; `none`: scrolling alone)
 *   --no-scroll (edits alone: a slowed page takes minutes to be scrolled)
 */
import { parseArgs } from 'node:util'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { heatsInOrder } from '@/lib/card'
import { closeBrowser, isWhole, laptop, phone, placesAreFree, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'
import { editCost, judge, median } from './edit-cost'
import { longDay } from './long-day'
import { scrollCost } from './scroll-cost'

const { values: o } = parseArgs({
  options: {
    runs: { type: 'string', default: '9' },
    rate: { type: 'string', default: '4' },
    profile: { type: 'boolean', default: false },
    trace: { type: 'string' },
    edit: { type: 'string' },
    'no-scroll': { type: 'boolean', default: false },
  },
})
const HEATS = 600
const GOAL_MS = 50
const MEETING = DEMO_MEETING_ID

/** Looks only when the page has changed: a script that looks again and again would be measured as well. */
const WATCH_PAGE = `window.__shows = ([selector, text, not]) => new Promise((resolve) => {
  const says = () => {
    const found = document.querySelector(selector)
    return (found?.getAttribute('aria-label') ?? '') + ' ' + (found?.textContent ?? '')
  }
  const look = () => {
    if (text === null ? says() === not : !says().includes(text)) return
    observer.disconnect()
    requestAnimationFrame(() => requestAnimationFrame(() => resolve(says())))
  }
  const observer = new MutationObserver(look)
  observer.observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true })
  look()
})`

const server = await ServerProcess.start({ demo: true })
try {
  const { reading, write, close } = await longDay(server, HEATS)
  const ilse = await server.join('mechanic', { personId: 'ilse-brandt' })
  if (!o['no-scroll']) {
    const pocket = await phone()
    await signIn(pocket, server.origin, ilse)
    const hand = await pocket.newPage()
    await hand.goto(`${server.origin}/board/${MEETING}/order`)
    await hand.waitForSelector('.run-row')
    await isWhole(hand)
    await hand.getByText('Show every heat, not just the team’s').click()
    await hand.locator('.axis-heat', { hasText: `Heat ${HEATS}` }).waitFor({ state: 'attached' })
    // Those that have run, of which there are none early on the demo's day.
    const earlier = hand.getByRole('button', { name: /^Show \d+ earlier$/ })
    await placesAreFree(hand)
    if ((await earlier.count()) > 0) await earlier.click()
    await hand.waitForFunction((n) => document.querySelectorAll('.axis-heat').length >= n, HEATS)
    // What opening leaves behind is done.
    await hand.waitForTimeout(5_000)
    const longest: number[] = []
    for (let run = 1; run <= Math.min(3, Number(o.runs)); run++) {
      const { longestMs, scrolledPx } = await scrollCost(hand, Number(o.rate))
      longest.push(longestMs)
      console.log(`scrolled ${Math.round(scrolledPx)} px: longest task ${longestMs.toFixed(1)} ms`)
    }
    judge(`longest task of scrolling ${HEATS} heats`, median(longest), GOAL_MS)
    await pocket.close()
  }

  const context = await laptop()
  await signIn(context, server.origin, ilse)
  const page = await context.newPage()
  await page.addInitScript(WATCH_PAGE)
  await page.goto(`${server.origin}/board/${MEETING}/order`)
  await page.waitForSelector('.run-row')
  console.log(`${heatsInOrder(reading.view()).length} heats, ${await page.locator('.run-row').count()} runs`)
  // The page loads the pages behind it by and by, for a dead spot: a part of its opening.
  await page.waitForTimeout(10_000)

  /** Resolves when the first match's text or label holds `text`, or (null) is another than `not`, and a frame has drawn it. */
  const shows = (selector: string, text: string | null, not = '') =>
    page.evaluate(
      (asked) => (window as unknown as { __shows: (asked: unknown) => Promise<string> }).__shows(asked),
      [selector, text, not],
    )

  const runId = await page.locator('.run-row:has(.run-call)').last().getAttribute('data-run')
  const carId = reading.view().entries.get(runId)?.carId
  if (!runId || !carId) throw new Error('No run is to come')
  const packs = reading.view().packs.live.slice(0, 2)
  const pinion = reading.view().cardValues.get(`${carId}.pinion`)
  const fitted = Number(pinion?.fitted?.v ?? 20)
  // Asked for what is fitted, and for something else, by turns: with each edit the value is loose, or no longer.
  const pinionOf = (run: number) =>
    (run % 2 === 1) === (pinion?.assigned?.v !== fitted) ? fitted : fitted + 1
  const packButton = `.run-row[data-run="${runId}"] .run-thing`
  const packOf = (run: number) => packs[run % 2]?.label ?? ''
  const next = () =>
    heatsInOrder(reading.view())
      .filter((h) => !h.isBreak)
      .find((h, i, all) => !all.slice(i).some((x) => x.startedAt?.v))
  const onTrack = '[aria-label="On the track"] h2'
  const count = '[aria-label="Loose ends"] .num'
  let counted = await shows(count, '')
  let stamped = ''
  const edits = {
    pack: {
      what: 'another device assigns a pack to a run',
      edit: (run: number) =>
        write('pack', (w) => w.meeting('runs', runId, { packId: w.stamp(packs[run % 2]?.id ?? '') })),
      settled: (run: number) => shows(packButton, packOf(run)),
      idle: () => shows(packButton, ''),
    },
    value: {
      what: 'another device asks for another pinion',
      edit: (run: number) =>
        write('value', (w) =>
          w.meeting('cardValues', `${carId}.pinion`, { assigned: w.stamp(pinionOf(run)) }),
        ),
      settled: async () => (counted = await shows(count, null, counted)),
      idle: () => shows(count, ''),
    },
    start: {
      what: 'another device stamps a start',
      edit: () => {
        const heat = next()
        if (!heat) throw new Error('No heat is to come')
        stamped = `${heat.number ?? ''}`
        write('start', (w) => w.meeting('heats', heat.id, { startedAt: w.stamp(Date.now()) }))
      },
      settled: () => shows(onTrack, stamped),
      idle: () => shows(onTrack, ''),
    },
  }
  for (const [name, { what, ...how }] of Object.entries(edits)) {
    if (o.edit !== undefined && o.edit !== name) continue
    console.log(`${what}:`)
    const cost = await editCost({
      page,
      runs: Number(o.runs),
      rate: Number(o.rate),
      profile: o.profile,
      trace: o.trace,
      ...how,
    })
    judge(`${what}, ${HEATS} heats`, cost, GOAL_MS)
  }
  await context.close()
  close()
} finally {
  await closeBrowser()
  await server.dispose()
}
