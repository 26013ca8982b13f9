import { isRefusal } from '@/app/ui/call-api'
import type { Line } from './photo-shelf'

/** A photo over a pit's Wi-Fi takes a while, ms. */
const PATIENCE = 60_000

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
      // The board's own answer, not that of a network's sign-in page.
      const answer = (await res.json().catch(() => null)) as { error?: unknown } | null
      if (res.ok && answer !== null) return { state: 'stored' }
      const why = answer?.error
      if ([413, 415, 422].includes(res.status) && isRefusal(why)) return { state: 'refused', why }
    } catch {
      // Not reached.
    }
    return { state: 'later' }
  },
  async fetch(meetingId, hash) {
    try {
      const res = await fetch(`/api/photos/${meetingId}/${hash}`, { signal: AbortSignal.timeout(PATIENCE) })
      return res.ok && res.headers.get('Content-Type')?.startsWith('image/') ? await res.blob() : null
    } catch {
      return null
    }
  },
}
