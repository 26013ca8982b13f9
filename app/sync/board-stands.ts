import type { SyncSnapshot } from './sync-snapshot'

/** A meeting's page opens its meeting only once the page runs; by its address it is known before. */
const isOfMeeting = (): boolean => typeof location !== 'undefined' && location.pathname.startsWith('/board/')

/** Whether the page has what it came for: the board that it shows, or the answer that it gets none. */
export const boardStands = ({
  membership,
  kit,
  meeting,
}: Pick<SyncSnapshot, 'membership' | 'kit' | 'meeting'>): boolean =>
  membership.state === 'member'
    ? kit?.hasContent === true && (meeting ? meeting.hasContent : !isOfMeeting())
    : membership.state !== 'starting'
