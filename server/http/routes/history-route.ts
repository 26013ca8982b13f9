import { z } from 'zod'
import { refuse } from '@/lib/core/result'
import type { HistoryEntry, HistoryResponse } from '@/lib/sync/history-api'
import { parseRoomName } from '@/lib/sync/room-name'
import type { Store, StoredAuditEntry } from '../../storage/store'
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

/** [S13] The audit trail of a room, newest first. Devices and refused attempts are for managers; everybody else sees what came of the board. */
export const historyRoute = (store: Store): ApiRoute =>
  route({
    method: 'GET',
    path: '/api/history',
    access: 'joined',
    handle: ({ query, session }) => {
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
      const entries = store.history({ ...parsed.data, refused: whole })
      const last = entries.at(-1)
      const nextBeforeSeq = entries.length === parsed.data.limit && last ? last.seq : null
      return reply({
        entries: whole ? entries : entries.map(withoutDevice),
        nextBeforeSeq,
      } satisfies HistoryResponse)
    },
  })

const withoutDevice = ({ deviceId: _, ...entry }: StoredAuditEntry): HistoryEntry => entry
