import { z } from 'zod'

/** [S26] Acknowledged edits that a start did not find any more. Instants are ms since the epoch. */
export const lossSchema = z.strictObject({
  /** When the newest edit was made that is still there; null when none is. */
  after: z.number().nullable(),
  /** When the last lost one was acknowledged; null when not known. */
  until: z.number().nullable(),
  /** How many times something was written; null when not known. */
  writes: z.number().nullable(),
  /** Whose edits they were, as far as they can still be read. */
  people: z.array(z.strictObject({ name: z.string(), edits: z.number() })),
})
export type Loss = z.infer<typeof lossSchema>

/** What people must be told about the board until somebody has read it. */
export const noticeSchema = z.strictObject({
  /** Of the newest thing that is told. */
  at: z.number(),
  /** In the words of whoever starts the server. */
  lines: z.array(z.string()),
  losses: z.array(lossSchema).default([]),
})
export type Notice = z.infer<typeof noticeSchema>

/** `GET /api/notice`, for managers. */
export interface NoticeResponse {
  notice: Notice | null
}
/** `POST /api/notice/read`: which one was read, since another may have come meanwhile. */
export const noticeReadRequest = z.strictObject({ at: z.number() })
export type NoticeReadRequest = z.infer<typeof noticeReadRequest>
