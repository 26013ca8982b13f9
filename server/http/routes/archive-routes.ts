import { z } from 'zod'
import { importRequest, PIECE_BYTES, takeRequest } from '@/lib/archive'
import type { Clock } from '@/lib/core/clock'
import { isIdText } from '@/lib/core/id'
import { refuse } from '@/lib/core/result'
import type { ArchiveOut } from '../../archive/archive-out'
import { Downloads } from '../../archive/downloads'
import { ImportDesk } from '../../archive/import-desk'
import type { TakeParts } from '../../archive/take-archive'
import { hasMeeting } from '../../archive/write-archive'
import type { BoardClient } from '../../storage/board-client'
import type { Timers } from '../../sync/timers'
import { chargedBy } from '../charged'
import { refused, replyResult, route, type ApiRoute } from '../api-route'

export interface ArchiveRouteParts extends TakeParts {
  client: BoardClient
  archiveOut: ArchiveOut
  dataFolder: string
  clock: Clock
  timers: Timers
  /** What went wrong while a download was under way. */
  warn: (e: unknown) => void
}

const MANAGER = ['manager'] as const
/** What reading a team's boards takes of the server's own thread, ms: our guess, not measured. */
const READING_MS = 150

/** [S27] A team's archive out and in. Managers alone: it holds every name, photo and history. */
export const archiveRoutes = (parts: ArchiveRouteParts): ApiRoute[] => {
  const desk = new ImportDesk(parts, parts.dataFolder, parts.timers)
  const downloads = new Downloads(parts)
  const who = (session: { personId: string } | null) => session?.personId ?? ''
  return [
    route({
      method: 'GET',
      path: '/api/archive/team',
      access: MANAGER,
      costMs: READING_MS,
      handle: () => downloads.start({ kind: 'team' }, 'team'),
    }),
    route({
      method: 'GET',
      path: '/api/archive/meeting/:meetingId',
      access: MANAGER,
      costMs: READING_MS,
      handle: ({ params: { meetingId = '' } }) =>
        isIdText(meetingId) && hasMeeting(parts.client, meetingId)
          ? downloads.start({ kind: 'meeting', meetingId }, meetingId)
          : refused(
              404,
              refuse('Meeting', '', 'the board has nothing of it', 'Choose another meeting.').error,
            ),
    }),
    route({
      method: 'POST',
      path: '/api/imports',
      access: MANAGER,
      body: importRequest,
      handle: ({ body, session }) => replyResult(desk.begin(who(session), body.bytes), (begun) => begun),
    }),
    route({
      method: 'POST',
      path: '/api/imports/:id/pieces/:at',
      access: MANAGER,
      raw: { types: ['application/octet-stream'], bytes: PIECE_BYTES },
      handle: async ({ params: { id = '', at = '' }, body, session }) =>
        replyResult(await desk.piece(id, who(session), Number(at), body as Buffer), (received) => received),
    }),
    route({
      method: 'POST',
      path: '/api/imports/:id/plan',
      access: MANAGER,
      costMs: READING_MS,
      body: z.strictObject({}),
      handle: async ({ params: { id = '' }, session, spend }) =>
        replyResult(await desk.plan(id, who(session), chargedBy(spend, parts.timers.steady)), (plan) => plan),
    }),
    route({
      method: 'POST',
      path: '/api/imports/:id/take',
      access: MANAGER,
      costMs: READING_MS,
      body: takeRequest,
      handle: async ({ params: { id = '' }, body, session, spend }) =>
        replyResult(
          await desk.take(id, who(session), body, chargedBy(spend, parts.timers.steady)),
          (taken) => taken,
        ),
    }),
    route({
      method: 'POST',
      path: '/api/imports/:id/drop',
      access: MANAGER,
      body: z.strictObject({}),
      handle: ({ params: { id = '' } }) => {
        desk.drop(id)
        return { status: 200, body: {} }
      },
    }),
  ]
}
