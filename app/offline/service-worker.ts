import type { Build, KeepAnswer, PageMessage } from './build'
import { answerTo } from './answers'
import { BuildCache } from './build-cache'
import { isAloneSoon } from './old-pages'

/**
 * Keeps the board's pages and files on this device, so that a reload without network still opens it. A new build is a new worker with a cache of its
 * own. Data never pass through here; they live in IndexedDB. A kept page keeps its headers, and with them the content policy whose nonce its scripts
 * carry.
 *
 * A worker never takes over from another while pages are open: a page of a new build works under the old worker, which keeps nothing of it, and the new
 * one begins when the last page is closed. Made to take over earlier, requests in flight hung. Nor does it work while it is being activated, since
 * every request waits for that. A page that has loaded without any worker says so and is looked after from then on. What is kept for old pages goes
 * when the last of them is gone.
 */
declare const STAGECALL_BUILD: Build

const scope = self as unknown as ServiceWorkerGlobalScope
const kept = new BuildCache(STAGECALL_BUILD, { caches: scope.caches, fetch: (...args) => fetch(...args) })
const parts = {
  kept,
  fetch: (request: Request) => fetch(request),
  wait: (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms)),
  origin: scope.location.origin,
}

scope.addEventListener('install', (event) => {
  event.waitUntil(kept.keepAssets().then(() => kept.keepPages(['/'])))
})

scope.addEventListener('message', (event) => {
  const message = event.data as PageMessage
  switch (message.kind) {
    case 'here':
      return event.waitUntil(scope.clients.claim().then(dropOld))
    case 'keep':
      return event.waitUntil(
        kept.keepPages(message.paths.filter(isOwnPath)).then((all) => {
          event.ports[0]?.postMessage({ kept: all } satisfies KeepAnswer)
        }),
      )
  }
})

scope.addEventListener('fetch', (event) => {
  const answer = answerTo(parts, { request: event.request, waitUntil: (work) => event.waitUntil(work) })
  if (answer) event.respondWith(answer)
})

async function dropOld(): Promise<void> {
  const { clients, navigator } = scope
  if (await isAloneSoon(STAGECALL_BUILD.name, { clients, locks: navigator.locks }, parts.wait))
    await kept.dropOthers()
}

const isOwnPath = (path: string) => path.startsWith('/') && !path.startsWith('//')
