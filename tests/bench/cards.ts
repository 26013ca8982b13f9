/**
 * `npm run bench:cards`: what the projections of a full pit cost the screen's own thread.
 *
 * The demo's team with each car three times over (24 cards) is open on the overview of cards, in Chromium slowed down four times
 * (`Emulation.setCPUThrottlingRate`), at the size of a laptop. Another device then enters another air temperature, on which every card's lap, heat and
 * pack rest. Measured is the page's main thread (`CrRendererMain`), as Chromium's tracing records it, over whole seconds from just before that edit until
 * after every card shows its new figures with their ±:
 *
 * - "all": the time for which that thread itself ran (`tdur`: what other processes took from it is left out) in all tasks of these seconds: taking the
 *   update from the socket, applying it, storing it, the board's new view, handing it to the overview's worker, hearing from it, writing the figures,
 *   styles, layout and painting, garbage collection, and whatever the page does anyway. The workers' own threads are not in it.
 * - "idle": the same of the same page over as many seconds in which nothing is edited, ten seconds later. Both spans begin half a second after the clock's
 *   full ten seconds and end before the next, so that both hold the same seconds' turns and neither the forecast of the running order that the page makes
 *   every ten seconds; what that and all else of an unedited page costs is printed once, over ten seconds.
 * - "edit": all less idle: what one edit cost, nothing left out, from the socket to the pixels. The verdict is on the median of it over all runs; runs are
 *   not thrown away, and single ones may come out below zero, because garbage is collected when the browser likes.
 * - "longest task": the longest of the edit's seconds: how long a tap would wait at worst.
 *
 * Options: --runs 15 --rate 4 --profile (lists the heaviest work by event) --trace DIR (keeps the traces there)
 */
import { parseArgs } from 'node:util'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { runEdit } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { closeBrowser, laptop, signIn } from '../support/browser'
import { addCopiesOfCars } from '../support/more-cars'
import { stockClient } from '../support/read-board'
import { ServerProcess } from '../support/server-process'
import { editCost, judge } from './edit-cost'

const { values: o } = parseArgs({
  options: {
    runs: { type: 'string', default: '15' },
    rate: { type: 'string', default: '4' },
    profile: { type: 'boolean', default: false },
    trace: { type: 'string' },
  },
})
const CARDS = 24
const COPIES = 2
const MEETING = DEMO_MEETING_ID
/** What the projections of all cards after one edit may take of the screen's thread, ms. */
const GOAL_MS = 50

/**
 * Hears from inside the page what the overview's worker says: nothing on screen says for a script that all is done. Asked once and answered when it is so:
 * a script that looks again and again would be measured as well.
 */
const WATCH_WORKERS = `{
  const Real = window.Worker
  let told = 0
  let tell = () => {}
  window.__allDone = (after) => new Promise((resolve) => {
    tell = () => told > after && resolve(told)
    tell()
  })
  window.Worker = class extends Real {
    constructor(...args) {
      super(...args)
      this.addEventListener('message', ({ data }) => {
        if (typeof data !== 'string' || !data.endsWith('"left":{"figures":0,"spreads":0}}')) return
        told++
        tell()
      })
    }
  }
}`

const server = await ServerProcess.start({ demo: true })
try {
  const petra = await server.join('manager', { personId: 'petra-amsel' })
  const kit = stockClient(server, petra, 'kit')
  const meeting = stockClient(server, petra, `meeting-${MEETING}`)
  await Promise.all([kit.synced, meeting.synced])
  const ctx = {
    docs: { kit: kit.doc, meeting: meeting.doc },
    actor: { personId: petra.personId, role: petra.role },
    clock: { now: () => Date.now() },
  }
  addCopiesOfCars(ctx, COPIES)

  const context = await laptop()
  await signIn(context, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
  const page = await context.newPage()
  await page.addInitScript(WATCH_WORKERS)
  await page.goto(`${server.origin}/board/${MEETING}/card`)
  await page.waitForFunction((n) => document.querySelectorAll('.card-list > li').length === n, CARDS)
  /** Every card's projections of the present state are in, ± and all, and a second's turn has drawn them. Resolves with the times that it was so. */
  const settled = async (after: number) => {
    const told = await page.evaluate(
      (n) => (window as unknown as { __allDone: (after: number) => Promise<number> }).__allDone(n),
      after,
    )
    await page.waitForTimeout(1250)
    return told
  }
  let told = await settled(0)
  console.log(`${await page.locator('.card-list > li').count()} cards`)
  // The page loads the pages behind it by and by, for a dead spot: a part of its opening.
  await page.waitForTimeout(10_000)
  const cost = await editCost({
    page,
    runs: Number(o.runs),
    rate: Number(o.rate),
    profile: o.profile,
    trace: o.trace,
    edit: (run) => {
      const made = runEdit(ctx, 'conditions', (w) => {
        w.meeting('conditions', `bench-${run}`, { airC: w.stamp(17 + run / 2) })
        return ok(undefined)
      })
      if (!made.ok) throw new Error(JSON.stringify(made.error))
    },
    settled: async () => (told = await settled(told)),
    idle: () => settled(0),
  })
  judge(`one edit of ${CARDS} cards`, cost, GOAL_MS)
  await context.close()
  kit.close()
  meeting.close()
} finally {
  await closeBrowser()
  await server.dispose()
}
