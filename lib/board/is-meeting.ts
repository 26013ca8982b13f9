import { COLLECTIONS } from './collections'
import type { BoardReader } from './ownership'

const FIELDS = Object.keys(COLLECTIONS.kit.meetings.fields)

/** Whether the kit has this meeting, removed or not: any of its fields was ever written. */
export const isMeeting = (read: Pick<BoardReader, 'field'>, meetingId: string): boolean =>
  FIELDS.some((field) => read.field('kit', 'meetings', meetingId, field) !== undefined)
