import type { Page } from 'playwright'
import { browser } from '../support/browser'
import { BEGIN_MARK, END_MARK, mainThreadTasks, type TraceEvent } from './main-thread-tasks'

export interface ScrollCost {
  /** The longest task of the page's main thread while it was scrolled, ms of that thread's own time. */
  longestMs: number
  /** How far it was scrolled, px. */
  scrolledPx: number
}

/** px a second: a thumb that flings. */
const SPEED = 6000

/**
 * Scrolls the page from top to bottom and back as a finger does (Chromium's own synthetic gesture), its CPU slowed down `rate` times, and gives
 * the longest task on the way.
 */
export async function scrollCost(page: Page, rate: number): Promise<ScrollCost> {
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Emulation.setCPUThrottlingRate', { rate })
  const height = () => page.evaluate(() => document.documentElement.scrollHeight - innerHeight)
  const { width = 0, height: tall = 0 } = page.viewportSize() ?? {}
  const swipe = (distance: number) =>
    cdp.send('Input.synthesizeScrollGesture', {
      x: width / 2,
      y: tall / 2,
      yDistance: distance,
      speed: SPEED,
      preventFling: true,
      gestureSourceType: 'touch',
    })
  const running = await browser()
  await running.startTracing(page, {
    categories: ['disabled-by-default-devtools.timeline', 'devtools.timeline', 'blink.user_timing', 'v8'],
  })
  const mark = (name: string) => page.evaluate((n) => void performance.mark(n), name)
  await mark(BEGIN_MARK)
  let scrolledPx = 0
  for (const way of [-1, 1]) {
    const before = await page.evaluate(() => scrollY)
    await swipe(way * (await height()))
    scrolledPx += Math.abs((await page.evaluate(() => scrollY)) - before)
  }
  await mark(END_MARK)
  const { traceEvents } = JSON.parse((await running.stopTracing()).toString()) as {
    traceEvents: TraceEvent[]
  }
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: 1 })
  await cdp.detach()
  return { longestMs: mainThreadTasks(traceEvents).longestMs, scrolledPx }
}
