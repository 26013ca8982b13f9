import { z } from 'zod'
import { refuse } from '@/lib/core/result'
import type { HistoryEntry, HistoryResponse } from '@/lib/sync/history-api'
import { parseRoomName } from '@/lib/sync/room-name'
import type { HistoryQuery, Store, StoredAuditEntry } from '../../storage/store'
import type { Timers } from '../../sync/timers'
import { refused, reply, route, type ApiRoute } from '../api-route'

const wholeNumber = z.coerce.number().int().min(1)
const querySchema = z.object({
  room: z.string().refine((s) => parseRoomName(s) !== null, 'is no room'),
  collection: z.string().max(64).optional(),
  recordId: z.string().max(200).optional(),
  field: z.string().max(64).optional(),
  beforeSeq: wholeNumber.optional(),
  limit: wholeNumber.max(500).default(100),
})

/** Rows looked at in one go, some 2 ms; edits are read before the next. */
const ROWS_AT_ONCE = 4_000
/** Longest time that one request looks for lines that match, ms; the asker is told where to go on. */
const LONGEST_SEARCH_MS = 250

/** [S13] The audit trail of a room, newest first. Devices and refused attempts are for managers; everybody else sees what came of the board. */
export const historyRoute = (store: Store, timers: Pick<Timers, 'turn' | 'steady'>): ApiRoute =>
  route({
    method: 'GET',
    path: '/api/history',
    access: 'joined',
    handle: async ({ query, session, spend }) => {
      const parsed = querySchema.safeParse(Object.fromEntries(query))
      if (!parsed.success) {
        const issue = parsed.error.issues[0]
        const field = String(issue?.path[0] ?? 'Query')
        return refused(
          400,
          refuse(field, query.get(field), issue?.message ?? 'does not fit', 'Reload the page.').error,
        )
      }
      const whole = session?.role === 'manager'
      const { entries, nextBeforeSeq } = await search(
        store,
        { ...parsed.data, refused: whole },
        timers,
        spend,
      )
      return reply({
        entries: whole ? entries : entries.map(withoutDevice),
        nextBeforeSeq,
      } satisfies HistoryResponse)
    },
  })

const withoutDevice = ({ deviceId: _, ...entry }: StoredAuditEntry): HistoryEntry => entry

/**
 * [S25] The next entries that match, and where to go on; null at the end. Filters may match as little as they like, so rows are looked at by
 * the thousand with room for everybody's edits in between, and for so long only.
 */
async function search(
  store: Store,
  query: Omit<HistoryQuery, 'fromSeq'>,
  { turn, steady }: Pick<Timers, 'turn' | 'steady'>,
  spend: (ms: number) => void,
): Promise<{ entries: StoredAuditEntry[]; nextBeforeSeq: number | null }> {
  const entries: StoredAuditEntry[] = []
  let before = Math.min(query.beforeSeq ?? Infinity, store.lastSeq() + 1)
  let spent = 0
  for (let part = 0; ; part++) {
    const start = steady()
    const fromSeq = Math.max(1, before - ROWS_AT_ONCE)
    const limit = query.limit - entries.length
    entries.push(...store.history({ ...query, beforeSeq: before, fromSeq, limit }))
    const took = steady() - start
    spent += took
    // The first part is measured by whoever called.
    if (part > 0) spend(took)
    const last = entries.at(-1)
    if (entries.length >= query.limit && last) return { entries, nextBeforeSeq: last.seq }
    if (fromSeq <= 1) return { entries, nextBeforeSeq: null }
    before = fromSeq
    if (spent > LONGEST_SEARCH_MS) return { entries, nextBeforeSeq: before }
    await new Promise<void>((resolve) => turn(resolve))
  }
}
