import { refuse } from '@/lib/core/result'
import { noticeReadRequest, type NoticeResponse } from '@/lib/sync/loss-notice'
import { clearNotice, readNotice } from '../../storage/notices'
import { refused, reply, route, type ApiRoute } from '../api-route'

const MANAGER = ['manager'] as const

/** [S26] What a start said about lost edits, until a manager has read it. It names people: managers alone. */
export const noticeRoutes = (dataFolder: string): ApiRoute[] => [
  route({
    method: 'GET',
    path: '/api/notice',
    access: MANAGER,
    handle: () => reply({ notice: readNotice(dataFolder) } satisfies NoticeResponse),
  }),
  route({
    method: 'POST',
    path: '/api/notice/read',
    access: MANAGER,
    body: noticeReadRequest,
    handle: ({ body }) => {
      const notice = readNotice(dataFolder)
      if (notice !== null && notice.at !== body.at)
        return refused(
          422,
          refuse('Notice', '', 'there is a newer one', 'Read that one too; it is shown now.').error,
        )
      clearNotice(dataFolder)
      return reply({})
    },
  }),
]
