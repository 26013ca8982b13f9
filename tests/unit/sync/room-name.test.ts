import { describe, expect, it } from 'vitest'
import { FRAME, writeBarrier } from '@/lib/sync/frames'
import { formatRoomName, parseRoomName } from '@/lib/sync/room-name'

describe('room names', () => {
  it('[S1] are parsed strictly', () => {
    expect(parseRoomName('kit')).toEqual({ kind: 'kit' })
    expect(parseRoomName('meeting-abc')).toEqual({ kind: 'meeting', meetingId: 'abc' })
    for (const bad of ['', 'meeting-', 'meeting-a/b', 'meeting-../kit', '__proto__', 'kit/', 'meeting-a%20b'])
      expect(parseRoomName(bad)).toBeNull()
    expect(formatRoomName({ kind: 'meeting', meetingId: 'x' })).toBe('meeting-x')
    expect(writeBarrier({ epoch: 1, n: 2 })[0]).toBe(FRAME.barrier)
  })
})
