/**
 * `npm run bench:load`: what a phone must load, how long until it can be used, and what a screen that is left on costs.
 *
 * The real server with the demo, in Chromium slowed down four times (`Emulation.setCPUThrottlingRate`) on a slow mobile network
 * (`Network.emulateNetworkConditions`: 1.6 Mbit/s down, 0.75 up, 150 ms; Chromium applies it to requests, not to the frames of an open websocket).
 * Each figure is the median of `--runs` visits, each with a browser profile of its own.
 *
 * - "script": bytes of script over the wire (as sent, compressed) until the screen can be used. What the page loads ahead afterwards is printed
 *   beside it.
 * - "first use": from the start of the navigation until the screen's own act is there: the code's field has the focus, the driver can accept or send back,
 *   the manager can stamp, the mechanic sees the card's values.
 * - "second visit": the same again in the same profile, from the device's own store and cache.
 * - "idle": what the page's main thread itself ran (`tdur`) in a minute in which nothing is edited and nobody touches it, ten seconds after it opened.
 *
 * Prints every figure beside its goal; exits 1 where one is missed. Options: --runs 3 --only join,staging --no-idle --idle-seconds 60 --profile
 */
import { parseArgs } from 'node:util'
import type { BrowserContext, Page } from 'playwright'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { browser, closeBrowser, laptop, phone, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'
import { BEGIN_MARK, END_MARK, mainThreadTasks, type TraceEvent } from './main-thread-tasks'

const { values: o } = parseArgs({
  options: {
    runs: { type: 'string', default: '3' },
    only: { type: 'string' },
    'no-idle': { type: 'boolean', default: false },
    'idle-seconds': { type: 'string', default: '60' },
    profile: { type: 'boolean', default: false },
  },
})
const RUNS = Number(o.runs)
const IDLE_S = Number(o['idle-seconds'])
const CPU_RATE = 4
const NETWORK = {
  offline: false,
  latency: 150,
  downloadThroughput: 1_600_000 / 8,
  uploadThroughput: 750_000 / 8,
}
/** ms of main thread in a minute. */
const IDLE_GOAL_MS = 2_000
/** s */
const SECOND_VISIT_GOAL = 1
/** ms after which a screen counts as not opening at all. */
const PATIENCE = 60_000

interface Screen {
  name: string
  path: string
  /** What stands there once the screen can be used. */
  ready: string
  who: { role: 'manager' | 'mechanic' | 'driver'; personId: string } | null
  make: () => Promise<BrowserContext>
  /** Bytes of script, s until the first use. */
  goal: { kB: number; s: number } | null
}

const BOARD = `/board/${DEMO_MEETING_ID}`
const kB = (bytes: number) => Math.round(bytes / 1000)
const median = (xs: readonly number[]): number =>
  [...xs].sort((a, b) => a - b)[Math.floor(xs.length / 2)] ?? NaN
let missed = 0
const verdict = (value: number, goal: number | null, unit: string): string => {
  if (goal === null) return `${value} ${unit}`
  if (value <= goal) return `${value} ${unit} (goal ${goal})`
  missed++
  return `${value} ${unit} (goal ${goal}, MISSED)`
}

/** The next run of a driver of the demo, by the board. */
async function nextRun(server: ServerProcess): Promise<{ runId: string; carId: string; driverId: string }> {
  const board = await readBoard(server, `meeting-${DEMO_MEETING_ID}`)
  const kit = await readBoard(server, 'kit')
  const entries = board['entries'] ?? {}
  const heats = board['heats'] ?? {}
  const coming = Object.keys(entries)
    .filter((k) => k.endsWith(':carId') && entries[k])
    .map((k) => k.slice(0, -':carId'.length))
    .filter(
      (id) => !(heats[`${String(entries[`${id}:heatId`])}:startedAt`] as { v?: unknown } | undefined)?.v,
    )
    .sort((a, b) => at(a) - at(b))
  function at(id: string) {
    return Number(heats[`${String(entries[`${id}:heatId`])}:plannedStart`])
  }
  const runId = coming[0]
  if (runId === undefined) throw new Error('The demo has no run to come')
  const carId = String(entries[`${runId}:carId`])
  return { runId, carId, driverId: String(kit['cars']?.[`${carId}:driverId`]) }
}

/** Notes in the page when `ready` stands there; a script outside could not look often enough without being measured itself. */
const watchFor = (ready: string) => `{
  performance.setResourceTimingBufferSize(2000)
  const look = () => {
    if (document.querySelector(${JSON.stringify(ready)})) window.__usableAt = performance.now()
    else setTimeout(look, 25)
  }
  look()
}`

async function slow(page: Page): Promise<void> {
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Network.enable')
  await cdp.send('Network.emulateNetworkConditions', NETWORK)
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: CPU_RATE })
}

async function visit(context: BrowserContext, url: string, ready: string) {
  const page = await context.newPage()
  await slow(page)
  await page.addInitScript(watchFor(ready))
  await page.goto(url, { waitUntil: 'commit', timeout: PATIENCE })
  const seconds = await page
    .waitForFunction(() => (window as unknown as { __usableAt?: number }).__usableAt, null, {
      timeout: PATIENCE,
      polling: 50,
    })
    .then(async (h) => Number(await h.jsonValue()) / 1000)
  await page.waitForTimeout(12_000)
  return {
    page,
    seconds,
    first: await scriptBytes(page, seconds * 1000),
    all: await scriptBytes(page, Infinity),
  }
}

/**
 * Bytes of script as sent that had come by a moment of the page's own clock (ms): asked of the page itself, since word of what has come reaches a
 * process beside a slowed-down browser late.
 */
const scriptBytes = (page: Page, until: number) =>
  page.evaluate(
    (ms) =>
      (performance.getEntriesByType('resource') as PerformanceResourceTiming[])
        .filter((r) => new URL(r.name).pathname.endsWith('.js') && r.responseEnd <= ms)
        .reduce((sum, r) => sum + r.transferSize, 0),
    until,
  )

async function idle(page: Page): Promise<number> {
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: CPU_RATE })
  await page.waitForTimeout(10_000)
  const running = await browser()
  await running.startTracing(page, {
    categories: ['disabled-by-default-devtools.timeline', 'devtools.timeline', 'blink.user_timing', 'v8'],
  })
  await page.evaluate((n) => void performance.mark(n), BEGIN_MARK)
  await page.waitForTimeout(IDLE_S * 1000)
  await page.evaluate((n) => void performance.mark(n), END_MARK)
  const { traceEvents } = JSON.parse((await running.stopTracing()).toString()) as {
    traceEvents: TraceEvent[]
  }
  const tasks = mainThreadTasks(traceEvents)
  if (o.profile) for (const line of tasks.heaviest) console.log(`  ${line}`)
  return Math.round((tasks.totalMs * 60) / IDLE_S)
}

const server = await ServerProcess.start({ demo: true })
try {
  const run = await nextRun(server)
  const screens: Screen[] = [
    {
      name: 'join',
      path: '/join',
      ready: 'main input:focus',
      who: null,
      make: phone,
      goal: { kB: 150, s: 2 },
    },
    {
      name: 'staging',
      path: `${BOARD}/staging/${run.runId}`,
      ready: '.decision button',
      who: { role: 'driver', personId: run.driverId },
      make: phone,
      goal: { kB: 190, s: 2 },
    },
    {
      name: 'order',
      path: `${BOARD}/order`,
      ready: '[data-run]',
      who: { role: 'manager', personId: 'petra-amsel' },
      make: laptop,
      goal: { kB: 260, s: 3 },
    },
    {
      name: 'card',
      path: `${BOARD}/card/${run.carId}`,
      ready: '.value-row',
      who: { role: 'mechanic', personId: 'ilse-brandt' },
      make: phone,
      goal: { kB: 300, s: 3 },
    },
    {
      name: 'jobs',
      path: `${BOARD}/jobs`,
      ready: '.job, main .ticket',
      who: { role: 'mechanic', personId: 'ilse-brandt' },
      make: phone,
      goal: null,
    },
    {
      name: 'wall',
      path: `${BOARD}/wall`,
      ready: '.wall-call',
      who: { role: 'manager', personId: 'petra-amsel' },
      make: () => laptop({ viewport: { width: 1920, height: 1080 } }),
      goal: null,
    },
  ]
  const only = o.only?.split(',')
  for (const screen of screens.filter((s) => !only || only.includes(s.name))) {
    const firsts: number[] = []
    const seconds: number[] = []
    const again: number[] = []
    let all = 0
    let ran: number | null = null
    for (let i = 0; i < RUNS; i++) {
      const context = await screen.make()
      if (screen.who) {
        const { role, personId } = screen.who
        await signIn(context, server.origin, await server.join(role, { personId }))
      }
      const one = await visit(context, server.origin + screen.path, screen.ready)
      firsts.push(one.first)
      seconds.push(one.seconds)
      all = one.all
      if (!o['no-idle'] && i === 0) ran = await idle(one.page)
      await one.page.close()
      const two = await visit(context, server.origin + screen.path, screen.ready)
      again.push(two.seconds)
      await two.page.close()
      await context.close()
    }
    const round = (s: number) => Math.round(s * 100) / 100
    console.log(
      [
        screen.name.padEnd(8),
        `script ${verdict(kB(median(firsts)), screen.goal?.kB ?? null, 'kB')}, ${kB(all)} kB with what is loaded ahead`,
        `first use ${verdict(round(median(seconds)), screen.goal?.s ?? null, 's')}`,
        `second visit ${verdict(round(median(again)), screen.goal ? SECOND_VISIT_GOAL : null, 's')}`,
        ...(ran === null || !screen.who ? [] : [`idle ${verdict(ran, IDLE_GOAL_MS, 'ms a minute')}`]),
      ].join('; '),
    )
  }
  console.log(missed === 0 ? 'All goals met.' : `${missed} goals missed.`)
  if (missed > 0) process.exitCode = 1
} finally {
  await closeBrowser()
  await server.dispose()
}
