import { lockOf } from './build'

/** What of the worker's scope is looked at. */
export interface OpenPages {
  clients: { matchAll(options: ClientQueryOptions): Promise<readonly unknown[]> }
  locks: Pick<LockManager, 'query'>
}

/**
 * Are pages open that are not of this build? Each page holds its build's lock for as long as it is open. One that holds none counts as old: it has
 * not loaded yet, or comes from a time before there were locks.
 */
export async function hasOtherPages(build: string, { clients, locks }: OpenPages): Promise<boolean> {
  const windows = await clients.matchAll({ type: 'window', includeUncontrolled: true })
  const { held = [] } = await locks.query()
  return windows.length > held.filter((lock) => lock.name === lockOf(build)).length
}

/** A page that was just closed is counted for a moment longer. */
const LOOKS = 8
const LOOK_EVERY_MS = 2_500

/** Look until no page of another build is open, for some twenty seconds. False: there is one still; the next page that opens looks again. */
export async function isAloneSoon(
  build: string,
  pages: OpenPages,
  wait: (ms: number) => Promise<void>,
): Promise<boolean> {
  for (let look = 1; await hasOtherPages(build, pages); look++) {
    if (look === LOOKS) return false
    await wait(LOOK_EVERY_MS)
  }
  return true
}
