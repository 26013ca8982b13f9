import { describe, expect, it } from 'vitest'
import { boardStands } from '@/app/sync/board-stands'
import type { SyncSnapshot } from '@/app/sync/sync-snapshot'

type Room = NonNullable<SyncSnapshot['kit']>
const room = (hasContent: boolean) => ({ hasContent }) as Room
const membership = { state: 'member' } as SyncSnapshot['membership']

describe('a page has what it came for', () => {
  it('on a page of the kit with the kit alone', () => {
    const at = { membership, meeting: null, meetingId: null }
    expect(boardStands({ ...at, kit: room(false) })).toBe(false)
    expect(boardStands({ ...at, kit: room(true) })).toBe(true)
  })

  it('on a page of a meeting with its document, not while the meeting is not open yet', () => {
    const at = { membership, meetingId: 'spring', kit: room(true) }
    expect(boardStands({ ...at, meeting: null })).toBe(false)
    expect(boardStands({ ...at, meeting: room(false) })).toBe(false)
    expect(boardStands({ ...at, meeting: room(true) })).toBe(true)
  })

  it('where it gets no board, with the answer', () => {
    const none = { kit: null, meeting: null, meetingId: 'spring' }
    expect(boardStands({ membership: { state: 'starting' }, ...none })).toBe(false)
    expect(boardStands({ membership: { state: 'stranger' }, ...none })).toBe(true)
  })
})
