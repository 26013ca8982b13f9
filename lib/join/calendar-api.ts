import { z } from 'zod'

/** What the browser sends and gets on `/api/calendar`: imported by both ends. */

export const makeFeedRequest = z.strictObject({
  meetingId: z.string().regex(/^[A-Za-z0-9_-]{1,64}$/, 'is no meeting'),
  personId: z.string().min(1).max(160),
})

export interface FeedInfo {
  id: string
  personId: string
  meetingId: string
  createdAt: number
}
/** The only time that the address is told: the server keeps a hash of its token. */
export interface MakeFeedResponse {
  feed: FeedInfo
  /** `/api/calendar/<token>.ics` */
  path: string
  /** Origins that phones on the same network reach, best first. */
  origins: string[]
}
export interface FeedsResponse {
  feeds: FeedInfo[]
}
