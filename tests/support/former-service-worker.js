// The service worker as phones have it from before each background worker had an address of its own: it answers from every cache and ignores what
// stands behind `#`. For the test that such phones heal; nothing else uses it.
const BUILD = new URL(self.location.href).searchParams.get('build') ?? ''
const CACHE = `stagecall-${BUILD}`
/** ms until the kept page is shown although the network may still answer. */
const PATIENCE = 4000

// A page that is loading is never taken over: it stays with the worker (or with none) that it began with, and the next page gets this one.
// Taking over halfway left a few navigations in a hundred hanging on a busy machine.
self.addEventListener('install', (event) => {
  event.waitUntil(keepPage('/'))
})

self.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys())
        if (name.startsWith('stagecall-') && name !== CACHE) await caches.delete(name)
    })(),
  )
})

self.addEventListener('message', (event) => {
  const paths = event.data?.keep
  if (!Array.isArray(paths)) return
  const own = paths.filter((p) => typeof p === 'string' && p.startsWith('/') && !p.startsWith('//'))
  event.waitUntil(keepAll(own).then((kept) => event.ports[0]?.postMessage({ kept })))
})

self.addEventListener('fetch', (event) => {
  const { request } = event
  const url = new URL(request.url)
  if (request.method !== 'GET' || url.origin !== self.location.origin) return
  if (url.pathname.startsWith('/_next/static/')) event.respondWith(asset(request))
  else if (request.mode === 'navigate' && !url.pathname.startsWith('/api/')) event.respondWith(page(request))
})

/** Assets carry their content's hash in their name: the kept one is always right. */
async function asset(request) {
  const kept = await caches.match(request)
  if (kept) return kept
  const response = await fetch(request)
  if (response.ok) await put(request, response.clone())
  return response
}

/** Pages come from the network while it answers soon, else from what was kept. */
async function page(request) {
  const key = new URL(request.url).pathname
  const kept = await caches.match(key, { cacheName: CACHE })
  const fresh = fetch(request).then(async (response) => {
    if (response.ok && !response.redirected) await put(key, response.clone())
    return response
  })
  if (!kept) return fresh.catch(() => noSuchPage())
  fresh.catch(() => undefined)
  return Promise.race([
    fresh.catch(() => kept.clone()),
    new Promise((resolve) => setTimeout(() => resolve(kept.clone()), PATIENCE)),
  ])
}

/** The page asked for was never open here: the list of meetings leads on. */
async function noSuchPage() {
  const home = await caches.match('/', { cacheName: CACHE })
  return home ? Response.redirect('/', 302) : Response.error()
}

async function put(key, response) {
  try {
    const cache = await caches.open(CACHE)
    await cache.put(key, response)
  } catch {
    // No room on the device: the page works, it is just not kept.
  }
}

/** Are all of them kept now? */
async function keepAll(paths) {
  const cache = await caches.open(CACHE)
  for (const path of paths) if (!(await cache.match(path))) await keepPage(path)
  const found = await Promise.all(paths.map((path) => cache.match(path)))
  return found.every(Boolean)
}

/** Fetch a page and the assets it names. */
async function keepPage(path) {
  try {
    const response = await fetch(path, { headers: { Accept: 'text/html' } })
    if (!response.ok || response.redirected) return
    await put(path, response.clone())
    const html = await response.text()
    const assets = new Set(html.match(/\/_next\/static\/[^"'\\\s)<>]+/g) ?? [])
    for (const url of assets) {
      const request = new Request(url)
      if (await caches.match(request)) continue
      const found = await fetch(request)
      if (found.ok) await put(request, found)
    }
  } catch {
    // Offline meanwhile: the next visit keeps it.
  }
}
