import { makeTeamRequest } from '@/lib/join/hosting-api'
import type { HostingDesk } from '../../teams/hosting-desk'
import { tooMany } from '../api-handler'
import { replyResult, route, type ApiRoute } from '../api-route'

/** A code, a name and an address. */
const MAKE_BYTES = 8192

/** What the hosting page asks. */
export const hostingRoutes = (desk: HostingDesk): ApiRoute[] => [
  route({
    method: 'POST',
    path: '/api/hosting/teams',
    costMs: 2,
    access: 'open',
    always: true,
    bodyBytes: MAKE_BYTES,
    body: makeTeamRequest,
    handle: async ({ body, visitor }) => {
      const answer = await desk.make(body, `address ${visitor.address}`)
      return answer.slowed
        ? tooMany(answer.slowed.retryAfterMs, answer.slowed.what)
        : replyResult(answer.result, (made) => made)
    },
  }),
]
