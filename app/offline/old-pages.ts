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
