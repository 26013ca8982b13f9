import type { Page } from 'playwright'
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
