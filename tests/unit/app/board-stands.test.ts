import { afterEach, describe, expect, it, vi } from 'vitest'
import { boardStands } from '@/app/sync/board-stands'
import type { SyncSnapshot } from '@/app/sync/sync-snapshot'

type Room = NonNullable<SyncSnapshot['kit']>
const room = (hasContent: boolean) => ({ hasContent }) as Room
const MEMBER = { state: 'member' } as SyncSnapshot['membership']
const at = (pathname: string) => vi.stubGlobal('location', { pathname })
afterEach(() => void vi.unstubAllGlobals())

describe('a page has what it came for', () => {
  it('on a page of the kit with the kit alone', () => {
    at('/kit/packs')
    expect(boardStands({ membership: MEMBER, kit: room(false), meeting: null })).toBe(false)
    expect(boardStands({ membership: MEMBER, kit: room(true), meeting: null })).toBe(true)
  })

  it('on a page of a meeting with its document, not while the meeting is not open yet', () => {
    at('/board/spring/order')
    const kit = room(true)
    expect(boardStands({ membership: MEMBER, kit, meeting: null })).toBe(false)
    expect(boardStands({ membership: MEMBER, kit, meeting: room(false) })).toBe(false)
    expect(boardStands({ membership: MEMBER, kit, meeting: room(true) })).toBe(true)
  })

  it('where it gets no board, with the answer', () => {
    at('/board/spring/order')
    const none = { kit: null, meeting: null }
    expect(boardStands({ membership: { state: 'starting' }, ...none })).toBe(false)
    expect(boardStands({ membership: { state: 'stranger' }, ...none })).toBe(true)
  })
})
