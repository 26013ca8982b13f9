/**
 * `npm run bench:cards`: what the projections of a full pit cost the screen's own thread.
 *
 * The demo's team with each car three times over (24 cards) is open on the overview of cards, in Chromium slowed down four times
 * (`Emulation.setCPUThrottlingRate`), at the size of a laptop. Another device then enters another air temperature, on which every card's lap, heat and
 * pack rest. Measured is the page's main thread (`CrRendererMain`) from just before that edit until every card shows its new figures with their ±:
 *
 * - "all tasks": the time for which that thread itself ran (`tdur`: what other processes took from it is left out) in all tasks of that time, as
 *   Chromium's tracing records them: taking the update from the
 *   socket, applying it, the board's new view, each card's ground, questions to and answers from the simulator's worker, React's rendering, styles,
 *   layout and painting, garbage collection, and whatever the page does anyway. The worker's own thread is not in it.
 * - "longest task": the longest of them: how long a tap would wait at worst.
 * - "idle": all tasks of the same page over as long a time in which nothing is edited. Printed beside, never subtracted.
 *
 * Options: --runs 5 --rate 4 --profile (lists the heaviest work by event)
 */
import { parseArgs } from 'node:util'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { runEdit } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { browser, closeBrowser, laptop, signIn } from '../support/browser'
import { addCopiesOfCars } from '../support/more-cars'
import { stockClient } from '../support/read-board'
import { ServerProcess } from '../support/server-process'
import { mainThreadTasks, type TraceEvent } from './main-thread-tasks'

const { values: o } = parseArgs({
  options: {
    runs: { type: 'string', default: '5' },
    rate: { type: 'string', default: '4' },
    profile: { type: 'boolean', default: false },
  },
})
const RUNS = Number(o.runs)
const CARDS = 24
const COPIES = 2
const MEETING = DEMO_MEETING_ID

/** Counts questions and answers of the page's workers, from inside the page: nothing on screen says that all is done. */
const WATCH_WORKERS = `{
  const Real = window.Worker
  window.__withSpread = new Set()
  window.Worker = class extends Real {
    constructor(...args) {
      super(...args)
      this.addEventListener('message', ({ data }) => {
        if (Array.isArray(data)) for (const a of data) if (a.withSpread) window.__withSpread.add(a.id)
      })
    }
  }
}`

const server = await ServerProcess.start({ demo: true })
try {
  const petra = await server.join('manager', { personId: 'petra-amsel' })
  const kit = stockClient(server, petra, 'kit')
  const meetingId = MEETING
  const meeting = stockClient(server, petra, `meeting-${meetingId}`)
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
  await page.goto(`${server.origin}/board/${meetingId}/card`)
  const tickets = page.locator('.card-list > li')
  await page.waitForFunction((n) => document.querySelectorAll('.card-list > li').length === n, CARDS)
  /** Every card's projections of the present state are in, ± and all. */
  const settled = (answers: number) =>
    page.waitForFunction(
      (n) => (window as unknown as { __withSpread: Set<string> }).__withSpread.size >= n,
      answers,
      { timeout: 180_000, polling: 500 },
    )
  await settled(CARDS)
  console.log(`${await tickets.count()} cards`)
  const cdp = await context.newCDPSession(page)
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: Number(o.rate) })

  const traced = async (work: () => Promise<unknown>) => {
    const running = await browser()
    await running.startTracing(page, {
      categories: ['disabled-by-default-devtools.timeline', 'devtools.timeline', 'blink.user_timing', 'v8'],
    })
    const began = Date.now()
    await work()
    const ms = Date.now() - began
    const { traceEvents } = JSON.parse((await running.stopTracing()).toString()) as {
      traceEvents: TraceEvent[]
    }
    return { ms, ...mainThreadTasks(traceEvents) }
  }

  for (let run = 1; run <= RUNS; run++) {
    const edit = () => {
      const done = runEdit(ctx, 'conditions', (w) => {
        w.meeting('conditions', `bench-${run}`, { airC: w.stamp(17 + run / 2) })
        return ok(undefined)
      })
      if (!done.ok) throw new Error(JSON.stringify(done.error))
    }
    const busy = await traced(async () => {
      edit()
      await settled(CARDS * (run + 1))
      await page.waitForTimeout(300)
    })
    const idle = await traced(() => page.waitForTimeout(busy.ms))
    console.log(
      `run ${run}: all tasks ${busy.totalMs.toFixed(1)} ms in ${busy.count} tasks, longest task ${busy.longestMs.toFixed(1)} ms, ${(busy.ms / 1000).toFixed(1)} s until the last ±; idle ${idle.totalMs.toFixed(1)} ms in ${idle.count} tasks`,
    )
    if (o.profile) {
      for (const line of busy.heaviest) console.log(`  ${line}`)
      for (const line of idle.heaviest) console.log(`  idle ${line}`)
    }
  }
  await context.close()
  kit.close()
  meeting.close()
} finally {
  await closeBrowser()
  await server.dispose()
}
