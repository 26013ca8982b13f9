import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright'
import { browser } from '../support/browser'
import { BEGIN_MARK, END_MARK, mainThreadTasks, type TraceEvent } from './main-thread-tasks'

/** The page's slowest turns come every ten seconds; a span begins this long after one, ms. */
const TURN_MS = 10_000
const AFTER_TURN_MS = 500

export interface EditCostOptions {
  page: Page
  runs: number
  /** The page's CPU is slowed down so many times. */
  rate: number
  /** Make the edit of this run on another device. */
  edit: (run: number) => void
  /** Everything that follows from the edit is on the screen. */
  settled: (run: number) => Promise<unknown>
  /** Asks the page as `settled` does when nothing was edited: what asking costs is in both spans. */
  idle: () => Promise<unknown>
  profile: boolean
  /** A folder for the traces. */
  trace: string | undefined
}

export const median = (xs: readonly number[]): number => {
  const sorted = [...xs].sort((a, b) => a - b)
  const at = (i: number) => sorted[Math.floor(i)] ?? NaN
  return (at((sorted.length - 1) / 2) + at(sorted.length / 2)) / 2
}

const until = (ms: number) => new Promise((resolve) => setTimeout(resolve, Math.max(0, ms - Date.now())))

/**
 * What edits of another device cost the page's main thread (`CrRendererMain`), as Chromium's tracing records it: the time for which that thread itself ran
 * (`tdur`) in all tasks of the whole seconds from just before the edit until `settled`, less the same of as many seconds in which nothing is edited. Both
 * spans begin half a second after the clock's full ten seconds, so that both hold the same seconds' turns. Prints each run and the medians; ms.
 */
export async function editCost(o: EditCostOptions): Promise<number> {
  const { page } = o
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: o.rate })
  const mark = (name: string) => page.evaluate((n) => void performance.mark(n), name)

  /** Trace from the next ten seconds' turn on for as many whole seconds as `work` takes, or for `whole`. */
  const traced = async (name: string, work: () => Promise<unknown>, whole?: number) => {
    const running = await browser()
    await running.startTracing(page, {
      categories: ['disabled-by-default-devtools.timeline', 'devtools.timeline', 'blink.user_timing', 'v8'],
    })
    const begin = Math.ceil(Date.now() / TURN_MS) * TURN_MS + AFTER_TURN_MS
    await until(begin)
    await mark(BEGIN_MARK)
    await work()
    const seconds = whole ?? Math.ceil((Date.now() - begin) / 1000)
    await until(begin + seconds * 1000)
    await mark(END_MARK)
    const trace = (await running.stopTracing()).toString()
    if (o.trace !== undefined) writeFileSync(join(o.trace, `${name}.json`), trace)
    const { traceEvents } = JSON.parse(trace) as { traceEvents: TraceEvent[] }
    return { seconds, ...mainThreadTasks(traceEvents) }
  }

  const background = await traced('background', () => page.waitForTimeout(TURN_MS - AFTER_TURN_MS / 2))
  console.log(
    `nothing edited, ${background.seconds} s: ${background.totalMs.toFixed(1)} ms, longest task ${background.longestMs.toFixed(1)} ms`,
  )
  const edits: number[] = []
  const longest: number[] = []
  const idles: number[] = []
  for (let run = 1; run <= o.runs; run++) {
    const busy = await traced(`busy-${run}`, async () => {
      o.edit(run)
      await o.settled(run)
    })
    const idle = await traced(`idle-${run}`, o.idle, busy.seconds)
    const cost = busy.totalMs - idle.totalMs
    edits.push(cost)
    longest.push(busy.longestMs)
    idles.push(idle.totalMs / idle.seconds)
    console.log(
      `run ${run}, ${busy.seconds} s: all ${busy.totalMs.toFixed(1)} ms, idle ${idle.totalMs.toFixed(1)} ms (${idle.seconds} s), edit ${cost.toFixed(1)} ms, longest task ${busy.longestMs.toFixed(1)} ms`,
    )
    if (o.profile) {
      for (const line of busy.heaviest) console.log(`  ${line}`)
      for (const line of idle.heaviest) console.log(`  idle ${line}`)
    }
  }
  console.log(
    `median of ${o.runs}: edit ${median(edits).toFixed(1)} ms (${Math.min(...edits).toFixed(1)} to ${Math.max(...edits).toFixed(1)}), longest task ${median(longest).toFixed(1)} ms, idle ${median(idles).toFixed(1)} ms a second`,
  )
  return median(edits)
}

/** Says whether the goal is met; the process ends with 1 where it is not. */
export function judge(what: string, cost: number, goalMs: number): void {
  const isMet = cost < goalMs
  console.log(
    `${isMet ? 'under' : 'NOT under'} ${goalMs} ms on the main thread, ${what}: median ${cost.toFixed(1)} ms`,
  )
  if (!isMet) process.exitCode = 1
}
