import type { SyncSnapshot } from './sync-snapshot'

/** Whether the page has what it came for: the board that it shows, or the answer that it gets none. */
export const boardStands = ({
  membership,
  kit,
  meeting,
  meetingId,
}: Pick<SyncSnapshot, 'membership' | 'kit' | 'meeting' | 'meetingId'>): boolean =>
  membership.state === 'member'
    ? kit?.hasContent === true && (meetingId === null || meeting?.hasContent === true)
    : membership.state !== 'starting'
