import type { PictureFacts } from '@/lib/board'
import { isWaiting, type Outgoing } from './photo-shelf'

/** What is still here of a photo's two pictures, by what this phone has sent. */
export function outgoingOf(
  outgoing: readonly Outgoing[] | null,
  generation: string | null,
  meetingId: string,
  picture: Pick<PictureFacts, 'hash' | 'thumb'>,
): { waits: boolean; refused: Outgoing['refused'] } {
  const mine = (outgoing ?? []).filter(
    (o) => o.meetingId === meetingId && (o.hash === picture.hash || o.hash === picture.thumb),
  )
  return {
    waits: mine.some((o) => isWaiting(o, generation)),
    refused: mine.find((o) => o.refused)?.refused ?? null,
  }
}
