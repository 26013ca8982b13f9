import { isRefusal } from '@/app/ui/call-api'
import type { Line } from './photo-shelf'

/** A photo over a pit's Wi-Fi takes a while, ms. */
const PATIENCE = 60_000
/** What the server will never take, whenever it is sent. */
const NEVER = [413, 415, 422]
/** Its run is not on the server (yet), or the board has no room for photos (now). */
const NOT_THIS_ONE = [409, 507]

/** The server's part of photos. Never throws. */
export const photoLine: Line = {
  async send({ meetingId, runId, hash }, data) {
    try {
      const res = await fetch(`/api/photos/${meetingId}/${runId}/${hash}`, {
        method: 'POST',
        headers: { 'Content-Type': data.type },
        body: data,
        signal: AbortSignal.timeout(PATIENCE),
      })
      // The board's own answer names the photo: that of a network's sign-in page does not.
      const answer = (await res.json().catch(() => null)) as { hash?: unknown; error?: unknown } | null
      if (res.ok && answer?.hash === hash) return { state: 'stored' }
      const why = answer?.error
      if (NEVER.includes(res.status) && isRefusal(why)) return { state: 'refused', why }
      if (NOT_THIS_ONE.includes(res.status)) return { state: 'later' }
    } catch {
      // Not reached.
    }
    return { state: 'down' }
  },
  async fetch(meetingId, hash) {
    try {
      const res = await fetch(`/api/photos/${meetingId}/${hash}`, { signal: AbortSignal.timeout(PATIENCE) })
      if (res.status === 404) return 'missing'
      return res.ok && res.headers.get('Content-Type')?.startsWith('image/') ? await res.blob() : 'down'
    } catch {
      return 'down'
    }
  },
}
