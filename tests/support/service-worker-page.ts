import type { BrowserContext, Page } from 'playwright'
import { expect } from 'vitest'

/** What a page sees of its service worker and of what that keeps. */
export const workerState = (page: Page) =>
  page.evaluate(async () => {
    const registration = await navigator.serviceWorker.getRegistration()
    const { controller } = navigator.serviceWorker
    const build = (worker: ServiceWorker | null | undefined) =>
      worker ? (new URL(worker.scriptURL).searchParams.get('build') ?? '') : null
    return {
      controller: build(controller),
      isControllerActive: controller?.state === 'activated',
      active: build(registration?.active),
      waiting: build(registration?.waiting),
      caches: (await caches.keys()).sort(),
    }
  })

/** The service worker of this build has taken over, and nothing is kept of any other. */
export const isTakenOver = (page: Page, build: string) =>
  expect
    .poll(() => workerState(page), { timeout: 60_000 })
    .toEqual({
      controller: build,
      isControllerActive: true,
      active: build,
      waiting: null,
      caches: [`stagecall-${build}`],
    })

/**
 * This build's service worker is installed beside the one in charge. Seen on a quiet machine: where the page is left while it begins, it hangs, and is
 * installed by a later page three minutes on.
 */
export const isInstalledBeside = (page: Page, build: string) =>
  expect.poll(() => workerState(page), { timeout: 240_000, interval: 500 }).toMatchObject({ waiting: build })

/** Close all pages, as people do, until a new one is looked after by this build's worker. Gives that page. */
export async function reopenUnder(context: BrowserContext, address: string, build: string): Promise<Page> {
  let page: Page | null = null
  await expect
    .poll(
      async () => {
        for (const open of context.pages()) await open.close()
        page = await context.newPage()
        await page.goto(address)
        return workerState(page)
      },
      { timeout: 240_000, interval: 1000 },
    )
    .toMatchObject({ controller: build })
  return page as unknown as Page
}
