import { BUILD_HEADER } from '@/lib/core/build-header'
import { cacheOf, isBuildCache, type Build } from './build'

/** So many files are fetched at once: the network is the pit's, and edits go first. */
const AT_ONCE = 4

export interface Surroundings {
  caches: Pick<CacheStorage, 'keys' | 'open' | 'delete'>
  fetch: (input: string | Request, init?: RequestInit) => Promise<Response>
}

/**
 * The pages and files of one build on this device. Only what proves to be of this build gets in: a file by its integrity, a page by the build's
 * name in its header. So nothing of another build, and no sign-in page of a network that lets nobody through, is ever kept.
 */
export class BuildCache {
  readonly #build: Build
  readonly #around: Surroundings

  constructor(build: Build, around: Surroundings) {
    this.#build = build
    this.#around = around
  }

  /**
   * Keep every file of the build, those that are kept already apart. Stops where the device has no room left: pages work, they are just not all kept.
   * @throws TypeError where the network fails, or gives anything else than the file
   */
  async keepAssets(): Promise<void> {
    const cache = await this.#own()
    const waiting = Object.keys(this.#build.assets)
    let hasRoom = true
    const work = async () => {
      for (let path = waiting.shift(); path !== undefined && hasRoom; path = waiting.shift())
        if (!(await find(cache, path))) hasRoom = await put(cache, path, await this.#fetchAsset(path))
    }
    await Promise.all(Array.from({ length: AT_ONCE }, work))
  }

  /** A file from the device; null where it is not kept. Old pages that are still open find the files of their own build. */
  async asset(path: string): Promise<Response | null> {
    const own = await find(await this.#own(), path)
    if (own || path in this.#build.assets) return own
    for (const name of await this.#others()) {
      const found = await find(await this.#around.caches.open(name), path)
      if (found) return withoutAddress(found)
    }
    return null
  }

  /** A file of this build from the network, kept on the way. @throws TypeError where the network fails, or gives anything else than the file */
  async fetchAsset(path: string): Promise<Response> {
    const response = await this.#fetchAsset(path)
    await put(await this.#own(), path, response.clone())
    return response
  }

  isOwnAsset(path: string): boolean {
    return path in this.#build.assets
  }

  /** A page as it was kept; null where it was not. */
  async page(path: string): Promise<Response | null> {
    const found = await find(await this.#own(), path)
    return found && withoutAddress(found)
  }

  /** Keep a copy of a page that has come, if it is one of this build. Says whether it is kept. */
  async keepPage(path: string, response: Response): Promise<boolean> {
    if (!this.#isOwnPage(response)) return false
    const copy = response.clone()
    return put(await this.#own(), path, copy)
  }

  /** Fetch those that are not kept yet. Are all of them kept now? */
  async keepPages(paths: readonly string[]): Promise<boolean> {
    const cache = await this.#own()
    let all = true
    for (const path of paths) all = ((await find(cache, path)) ? true : await this.#fetchPage(path)) && all
    return all
  }

  /** Drop what is kept of other builds. */
  async dropOthers(): Promise<void> {
    for (const name of await this.#others()) await this.#around.caches.delete(name)
  }

  async #fetchPage(path: string): Promise<boolean> {
    try {
      const response = await this.#around.fetch(path, { headers: { Accept: 'text/html' }, redirect: 'error' })
      return await this.keepPage(path, response)
    } catch {
      return false // Without network meanwhile, or sent elsewhere: the next visit keeps it.
    }
  }

  async #fetchAsset(path: string): Promise<Response> {
    const integrity = this.#build.assets[path]
    const response = await this.#around.fetch(path, {
      credentials: 'same-origin',
      redirect: 'error',
      ...(integrity && { integrity }),
    })
    if (!response.ok) throw new TypeError(`${path} was answered with ${response.status}`)
    return response
  }

  #isOwnPage({ status, redirected, headers }: Response): boolean {
    return (
      status === 200 &&
      !redirected &&
      headers.get(BUILD_HEADER) === this.#build.name &&
      (headers.get('content-type') ?? '').startsWith('text/html')
    )
  }

  #own(): Promise<Cache> {
    return this.#around.caches.open(cacheOf(this.#build.name))
  }

  async #others(): Promise<string[]> {
    const own = cacheOf(this.#build.name)
    return (await this.#around.caches.keys()).filter((name) => isBuildCache(name) && name !== own)
  }
}

/** By path alone: what a server says that its answers vary by is compression and the router's own requests, never what is kept here. */
const find = async (cache: Cache, path: string): Promise<Response | null> =>
  (await cache.match(path, { ignoreVary: true })) ?? null

/** False where the device has no room. */
async function put(cache: Cache, path: string, response: Response): Promise<boolean> {
  try {
    await cache.put(path, response)
    return true
  } catch {
    return false
  }
}

/**
 * A kept answer remembers the address that it was fetched from, `#` and all, and a worker or page that is given it takes that for its own. Anew it
 * has none, and the address is that of whoever asked.
 */
const withoutAddress = ({ body, status, statusText, headers }: Response): Response =>
  new Response(body, { status, statusText, headers })
