import { DatabaseError } from '@/drizzle/database-error'
import { ensureGeneration } from '@/drizzle/generation'
import type { PostgresClient } from '@/drizzle/postgres/client'
import type { Timers } from '../sync/timers'
import type { OpenedStore } from './open-store'
import { KIT } from './postgres-statements'
import { PostgresStore } from './postgres-store'

/** How long a process that serves the board among several counts as there after it was last heard of, ms. */
const SHORT_LEASE_MS = 1_000

/**
 * [P1] Become the process that judges the board: its store, or null where another one is. `dead`: an owner that is known to have ended, whose
 * lease is not waited for. `onLost` is told, in a turn of its own, when another process has taken over; the client is closed with the store.
 * @throws DatabaseError
 */
export function takeBoard(
  client: PostgresClient,
  url: string,
  address: string,
  timers: Pick<Timers, 'every' | 'steady'>,
  dead: string | null,
  onLost: () => void,
): OpenedStore | null {
  const store = new PostgresStore(client, address, () => setImmediate(onLost), {
    leaseMs: SHORT_LEASE_MS,
    steady: timers.steady,
    isOneTurn: true,
    dead,
  })
  try {
    store.load(KIT)
  } catch (e) {
    if (e instanceof DatabaseError && e.trouble === 'taken-over') return null
    throw e
  }
  client.transact(() => ensureGeneration(client))
  return {
    client,
    store,
    told: [],
    source: { url },
    stopTending: timers.every(SHORT_LEASE_MS / 5, () => store.renew()),
    holds: () => store.holds(),
  }
}
