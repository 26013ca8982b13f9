import type { SyncSnapshot } from './sync-snapshot'

/** Whether the page has what it came for: the board that it shows, or the answer that it gets none. */
export const boardStands = ({
  membership,
  kit,
  meeting,
}: Pick<SyncSnapshot, 'membership' | 'kit' | 'meeting'>): boolean =>
  membership.state === 'member'
    ? kit?.hasContent === true && meeting?.hasContent !== false
    : membership.state !== 'starting'
