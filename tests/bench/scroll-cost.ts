import type { Page } from 'playwright'
import { browser } from '../support/browser'
import { BEGIN_MARK, END_MARK, mainThreadTasks, type TraceEvent } from './main-thread-tasks'

export interface ScrollCost {
  /** The longest task of the page's main thread while it was scrolled, ms of that thread's own time. */
  longestMs: number
  /** How far it was scrolled, px. */
  scrolledPx: number
}

/** One stroke of a thumb: so much of the screen, in so many moves of `MOVE_MS` each: 3,800 px a second on a phone. */
const STROKE = 0.72
const MOVES = 10
const MOVE_MS = 16

/**
 * Scrolls the page to its bottom and back to its top as a thumb does, stroke by stroke, its CPU slowed down `rate` times, and gives the longest task on
 * the way. The thumb's touches are single events: Chromium's own synthetic gesture moves no page (156). @throws where it does not get there.
 */
export async function scrollCost(page: Page, rate: number): Promise<ScrollCost> {
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Emulation.setCPUThrottlingRate', { rate })
  const height = () => page.evaluate(() => document.documentElement.scrollHeight - innerHeight)
  const { width = 0, height: tall = 0 } = page.viewportSize() ?? {}
  const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', y?: number) =>
    cdp.send('Input.dispatchTouchEvent', { type, touchPoints: y === undefined ? [] : [{ x: width / 2, y }] })
  /** `way`: -1 for the thumb going up, so that the page goes down. */
  const stroke = async (way: number) => {
    const from = tall / 2 - (way * tall * STROKE) / 2
    await touch('touchStart', from)
    for (let move = 1; move <= MOVES; move++) {
      await touch('touchMove', from + (way * tall * STROKE * move) / MOVES)
      await page.waitForTimeout(MOVE_MS)
    }
    await touch('touchEnd')
  }
  const running = await browser()
  await running.startTracing(page, {
    categories: ['disabled-by-default-devtools.timeline', 'devtools.timeline', 'blink.user_timing', 'v8'],
  })
  const mark = (name: string) => page.evaluate((n) => void performance.mark(n), name)
  await mark(BEGIN_MARK)
  let scrolledPx = 0
  for (const way of [-1, 1]) {
    const before = await page.evaluate(() => scrollY)
    // Rows that come into sight for the first time get their true height: the bottom is looked up anew.
    const bound = async () => (way < 0 ? height() : 0)
    // A slow page misses part of a stroke.
    const most = (3 * Math.abs((await bound()) - before)) / (tall * STROKE) + 5
    let at = before
    for (let n = 0; Math.abs(at - (await bound())) > 1; n++) {
      if (n > most) throw new Error(`Scrolled from ${before} to ${at} px and no further`)
      await stroke(way)
      at = await page.evaluate(() => scrollY)
    }
    scrolledPx += Math.abs(at - before)
  }
  await mark(END_MARK)
  const { traceEvents } = JSON.parse((await running.stopTracing()).toString()) as {
    traceEvents: TraceEvent[]
  }
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: 1 })
  await cdp.detach()
  return { longestMs: mainThreadTasks(traceEvents).longestMs, scrolledPx }
}
