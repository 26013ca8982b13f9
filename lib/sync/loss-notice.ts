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

/**
 * What was lost, since when and whose, as sentences.
 * @param when writes an instant, ms since the epoch
 */
export function lossSentences(loss: Loss, when: (at: number) => string): string[] {
  const { after, until, writes, people } = loss
  const since = after === null ? 'Everything that was saved' : `What was saved after ${when(after)}`
  const end = until === null ? '' : after === null ? ` until ${when(until)}` : ` and until ${when(until)}`
  const count = writes === null ? '' : `: ${writes} ${writes === 1 ? 'write' : 'writes'} to the disk`
  const whose = people.map((p) => `${p.name} (${p.edits})`).join(', ')
  return [
    `${since}${end} is missing${count}.`,
    whose === '' ? 'Whose edits they were can’t be read anymore.' : `Edits by: ${whose}.`,
  ]
}

export const LOSS_TITLE = 'Saved edits are lost'
export const LOSS_CAUSE = 'the log of edits was damaged while the board was not running.'
export const WHAT_TO_DO =
  'Open the board on every phone that was in use, so it can send back what it still has. Check the cars and runs since then. Have the disk of the computer that runs the board checked.'
