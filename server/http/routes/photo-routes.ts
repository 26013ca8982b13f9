import { createHash } from 'node:crypto'
import { checkPicture } from '@/lib/photo'
import type * as Y from 'yjs'
import { readField } from '@/lib/board'
import { isIdText } from '@/lib/core/id'
import { PHOTO_BYTES, PHOTO_HASH, PHOTO_TYPE } from '@/lib/core/photo-limits'
import { refuse } from '@/lib/core/result'
import { formatRoomName } from '@/lib/sync/room-name'
import { photosNamed } from '../../archive/board-text'
import type { BoardEditor } from '../../join/kit-people'
import type { PhotoStore } from '../../photos/photo-store'
import { TokenBucket } from '../../sync/limits'
import { tooMany } from '../api-handler'
import { refused, reply, route, type ApiRoute } from '../api-route'
import { chargedBy, type Charged } from '../charged'

export interface PhotoRouteParts {
  photos: PhotoStore
  board: BoardEditor
  /** ms of a clock that only goes forward. */
  steady: () => number
}

const CREW = ['manager', 'mechanic', 'driver'] as const
/** Bytes that one person may send: some 250 full photos at once (a phone that was away for a weekend), then one each 20 s. */
const SENT = { perSecond: 20 * 1024, burst: 100 * 1024 * 1024 }

const gone = () =>
  refused(
    404,
    refuse('Photo', '', 'it is not on the server', 'The phone that took it may still have it.').error,
  )

const NO_RUN = refuse(
  'Photo',
  '',
  'its run is not on the server',
  'It is sent once the run is there, if the run was not removed.',
).error
const RUN_FULL = refuse('Photo', '', 'this run has as many as a run may have', 'Put it on another run.').error
const BOARD_FULL = refuse(
  'Photo',
  '',
  'the server’s room for photos is full',
  'Ask whoever runs the server. It stays on this phone until there is room.',
).error

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
        if (!PHOTO_HASH.test(hash) || !photos.has(meetingId, hash)) return gone()
        // A name that its bytes gave it never means other bytes. Whoever is no longer of the crew must not be served by a cache.
        const headers = { ETag: `"${hash}"`, 'Cache-Control': 'private, no-cache' }
        if (ifNoneMatch?.includes(`"${hash}"`)) return { status: 304, body: null, headers }
        const photo = photos.get(meetingId, hash)
        if (!photo) return gone()
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
      raw: { types: [PHOTO_TYPE], bytes: PHOTO_BYTES },
      handle: async ({ params, body, session, spend }) => {
        const { meetingId = '', runId = '', hash = '' } = params
        const data = body as Buffer
        const personId = session?.personId ?? ''
        const bucket = bucketOf(personId)
        const left = bucket.left(steady())
        if (left < 0) return tooMany((-left / SENT.perSecond) * 1000, 'Photos')
        bucket.take(data.length, steady())
        const read = checkPicture(data)
        if (!read.ok) return refused(422, read.error)
        if (!PHOTO_HASH.test(hash) || createHash('sha256').update(data).digest('hex') !== hash)
          return refused(422, refuse('Photo', '', 'it is not the one it says it is', 'Add it again.').error)
        // What is done after waiting is charged by its own time.
        const charged = chargedBy(spend, steady)
        const named = await picturesOf(board, meetingId, runId, charged)
        if (!named) return refused(409, NO_RUN)
        const put = charged(() =>
          photos.put({ meetingId, runId, hash, type: PHOTO_TYPE, data, personId }, named),
        )
        // Named, so that no other answer on the way, a network's sign-in page say, can pass for it.
        if (put === 'stored') return reply({ hash })
        return put === 'run full' ? refused(422, RUN_FULL) : refused(507, BOARD_FULL)
      },
    }),
  ]
}

/** Pictures that the board shows on its runs; null where it has no such run: nobody may fill the disk with names of their own. */
async function picturesOf(
  board: BoardEditor,
  meetingId: string,
  runId: string,
  charged: Charged,
): Promise<Set<string> | null> {
  if (!isIdText(meetingId) || !isIdText(runId)) return null
  const known = await board.readRoom('kit', (kit) => readField(kit, 'meetings', meetingId, 'name'))
  if (known === undefined) return null
  return board.readRoom(formatRoomName({ kind: 'meeting', meetingId }), (meeting) =>
    charged(() => (hasRun(meeting, runId) ? photosNamed(meeting, { removed: false }) : null)),
  )
}

function hasRun(meeting: Y.Doc, runId: string): boolean {
  if (readField(meeting, 'entries', runId, 'heatId') !== undefined) return true
  for (const key of meeting.getMap('runs').keys()) if (key.startsWith(`${runId}:`)) return true
  return false
}
