import { createHash } from 'node:crypto'
import { readPicture } from '@/lib/photo'
import { PHOTO_BYTES, PHOTO_HASH, PHOTO_TYPES } from '@/lib/core/photo-limits'
import { refuse } from '@/lib/core/result'
import { formatRoomName } from '@/lib/sync/room-name'
import type { BoardEditor } from '../../join/kit-people'
import type { PhotoStore } from '../../photos/photo-store'
import { TokenBucket } from '../../sync/limits'
import { tooMany } from '../api-handler'
import { refused, reply, route, type ApiRoute } from '../api-route'

export interface PhotoRouteParts {
  photos: PhotoStore
  board: BoardEditor
  /** ms of a clock that only goes forward. */
  steady: () => number
}

const CREW = ['manager', 'mechanic', 'driver'] as const
/** Bytes that one person may send: some 250 full photos at once (a phone that was away for a weekend), then one each 20 s. */
const SENT = { perSecond: 20 * 1024, burst: 100 * 1024 * 1024 }
const MAX_NAME = 64

const gone = () =>
  refused(
    404,
    refuse('Photo', '', 'it is not on the server', 'The phone that took it may still have it.').error,
  )

/** Photos of runs: sent and fetched by the crew alone, named by their own bytes. */
export const photoRoutes = ({ photos, board, steady }: PhotoRouteParts): ApiRoute[] => {
  // One per person of the crew who has sent any: as many as there are people.
  const sent = new Map<string, TokenBucket>()
  const bucketOf = (personId: string) => {
    const known = sent.get(personId) ?? new TokenBucket(SENT.perSecond, SENT.burst, steady())
    sent.set(personId, known)
    return known
  }
  return [
    route({
      method: 'GET',
      path: '/api/photos/:meetingId/:hash',
      access: CREW,
      handle: ({ params, ifNoneMatch }) => {
        const { meetingId = '', hash = '' } = params
        const photo = PHOTO_HASH.test(hash) ? photos.get(meetingId, hash) : null
        if (!photo) return gone()
        // A name that its bytes gave it never means other bytes. Whoever is no longer of the crew must not be served by a cache.
        const headers = { ETag: `"${hash}"`, 'Cache-Control': 'private, no-cache' }
        if (ifNoneMatch?.includes(`"${hash}"`)) return { status: 304, body: null, headers }
        return {
          status: 200,
          body: null,
          bytes: photo.data,
          headers: {
            ...headers,
            'Content-Type': photo.type,
            'Content-Length': String(photo.data.length),
            'Content-Disposition': 'inline; filename="photo"',
          },
        }
      },
    }),
    route({
      method: 'POST',
      path: '/api/photos/:meetingId/:runId/:hash',
      access: CREW,
      raw: { types: PHOTO_TYPES, bytes: PHOTO_BYTES },
      handle: async ({ params, body, session }) => {
        const { meetingId = '', runId = '', hash = '' } = params
        const data = body as Buffer
        const personId = session?.personId ?? ''
        const bucket = bucketOf(personId)
        const left = bucket.left(steady())
        if (left < 0) return tooMany((-left / SENT.perSecond) * 1000, 'Photos')
        bucket.take(data.length, steady())
        const read = readPicture(data)
        if (!read.ok) return refused(422, read.error)
        if (read.value.extras.length > 0)
          return refused(
            422,
            refuse(
              'Photo',
              '',
              'it says more than it shows (place, camera or comments)',
              'Add it by the board, which leaves that out.',
            ).error,
          )
        if (!PHOTO_HASH.test(hash) || createHash('sha256').update(data).digest('hex') !== hash)
          return refused(422, refuse('Photo', '', 'it is not the one it says it is', 'Add it again.').error)
        if (!(await hasRun(board, meetingId, runId)))
          return refused(
            422,
            refuse('Run', '', 'there is no such run on the board', 'Reload the page.').error,
          )
        const stored = photos.put({ meetingId, runId, hash, type: read.value.type, data, personId })
        return stored.ok ? reply({}) : refused(422, stored.error)
      },
    }),
  ]
}

/** Photos come only to runs that the board has: nobody may fill the disk with names of their own. */
async function hasRun(board: BoardEditor, meetingId: string, runId: string): Promise<boolean> {
  if (!isName(meetingId) || !isName(runId)) return false
  const known = await board.readRoom('kit', (kit) => kit.getMap('meetings').has(`${meetingId}:name`))
  if (!known) return false
  return board.readRoom(formatRoomName({ kind: 'meeting', meetingId }), (meeting) => {
    if (meeting.getMap('entries').has(`${runId}:heatId`)) return true
    for (const key of meeting.getMap('runs').keys()) if (key.startsWith(`${runId}:`)) return true
    return false
  })
}

const isName = (id: string) => id.length <= MAX_NAME && /^[\w.-]+$/.test(id)
