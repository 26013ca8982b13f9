import { describe, expect, it } from 'vitest'
import { reasonOf } from '@/server/sync/commit'
import { commitBench, update } from './commit-bench'

describe('[S7] a group commit', () => {
  it('writes what all rooms have in one transaction, the kit’s first, and tells them then', () => {
    const { written, timers, commit, room, happened } = commitBench()
    const ran: string[] = []
    const author = { room: 'meeting-b', clientId: 7, personId: 'ann' }
    const entry = {
      room: 'kit',
      at: 5,
      personId: 'ann',
      deviceId: 'd1',
      collection: 'cars',
      recordId: 'c1',
      field: 'weight',
      before: null,
      after: 900,
      outcome: 'accepted' as const,
    }
    const rooms = [
      room('meeting-a', { updates: [update('meeting-a')] }),
      room('meeting-b', { updates: [update('meeting-b')], authors: [author] }),
      room('kit', { updates: [update('kit')], audit: [entry], alongside: [() => void ran.push('row')] }),
      room('meeting-idle'),
    ]
    for (const r of rooms.slice(0, 3)) r.request()
    expect(happened()).toEqual([])
    timers.endTurn()
    expect(happened()).toEqual([
      'kit prepares',
      'meeting-a prepares',
      'meeting-b prepares',
      'kit settles',
      'meeting-a settles',
      'meeting-b settles',
    ])
    expect(written).toEqual([
      {
        updates: [update('kit'), update('meeting-a'), update('meeting-b')],
        authors: [author],
        audit: [entry],
        alongside: [expect.any(Function)],
      },
    ])
    written[0]!.alongside[0]!()
    expect(ran).toEqual(['row'])
    expect([commit.turns, commit.failures, commit.readOnly]).toEqual([1, 0, null])
    timers.endTurn()
    expect(happened()).toEqual([])
  })

  it('puts the kit first although it asked first', () => {
    const { timers, room, happened } = commitBench()
    for (const r of [room('kit'), room('meeting-a')]) r.request()
    timers.endTurn()
    expect(happened()[0]).toBe('kit prepares')
  })

  it('writes what any part of a turn asks for, and nothing for a turn that asks for nothing', () => {
    const parts = [
      { updates: [update('kit')] },
      { authors: [{ room: 'kit', clientId: 7, personId: 'ann' }] },
      { audit: [{} as never] },
      { alongside: [() => undefined] },
    ]
    for (const part of parts) {
      const { written, timers, room, took } = commitBench()
      room('kit', part).request()
      timers.endTurn()
      expect(written).toMatchObject([part])
      expect(took.length).toBe(1)
    }
    const { written, timers, room, took, happened } = commitBench()
    room('kit').request()
    timers.endTurn()
    expect([written, took]).toEqual([[], []])
    expect(happened()).toEqual(['kit prepares', 'kit settles'])
  })

  it('tells how long each write took, also one that failed', () => {
    const { disk, timers, room, took } = commitBench()
    disk.takesMs = 12
    const { request } = room('kit', { updates: [update('kit')] })
    request()
    timers.endTurn()
    disk.full = new Error('full')
    disk.takesMs = 30
    request()
    timers.endTurn()
    expect(took).toEqual([12, 30])
  })
})

describe('[S7] the work of a turn', () => {
  it('is done at once after a quiet moment, and gathered in a rush', () => {
    const { timers, room } = commitBench()
    const { request } = room('kit')
    const other = room('meeting-a')
    const how = () => (timers.endTurn(), timers.scheduled.splice(0))
    request()
    expect(how()).toEqual(['soon'])
    timers.now += 5
    request()
    other.request()
    request()
    expect(how()).toEqual(['turn'])
    timers.now += 6
    request()
    other.request()
    expect(how()).toEqual(['soon'])
  })

  it('that can wait waits for the end of the turn, however quiet it is, and takes along what comes meanwhile', () => {
    const { timers, commit, room, happened } = commitBench()
    const [kit, meeting] = [room('kit'), room('meeting-a')]
    commit.requestLater(meeting.member)
    commit.requestLater(meeting.member)
    kit.request()
    commit.requestLater(kit.member)
    expect(timers.scheduled.splice(0)).toEqual(['turn'])
    timers.endTurn()
    expect(happened()).toEqual(['kit prepares', 'meeting-a prepares', 'kit settles', 'meeting-a settles'])
    commit.requestLater(kit.member)
    timers.endTurn()
    expect(happened()).toEqual(['kit prepares', 'kit settles'])
  })

  it('is done now when asked to, once', () => {
    const { timers, commit, room, happened } = commitBench()
    room('kit').request()
    commit.flush()
    expect(happened()).toEqual(['kit prepares', 'kit settles'])
    timers.endTurn()
    commit.flush()
    expect([happened(), commit.turns]).toEqual([[], 1])
  })

  it('of a room that has left is not done, whatever becomes of the others', () => {
    const { disk, timers, room, happened } = commitBench()
    const [kit, meeting] = [room('kit', { updates: [update('kit')] }), room('meeting-a')]
    kit.request()
    meeting.request()
    meeting.leave()
    disk.full = new Error('full')
    timers.endTurn()
    expect(happened()).toEqual(['kit prepares', 'kit forgets: full'])
    disk.full = null
    timers.pass(500)
    expect(happened()).toEqual(['kit goes on'])
  })

  it('that comes while others are judged has a turn of its own', () => {
    const { timers, commit, room, happened } = commitBench()
    const meeting = room('meeting-a')
    let asks = 2
    const kit = room('kit', () => {
      if (asks-- > 0) {
        meeting.request()
        commit.flush()
      }
      return {}
    })
    kit.request()
    commit.flush()
    expect(happened()).toEqual(['kit prepares', 'kit settles'])
    timers.endTurn()
    expect(happened()).toEqual(['meeting-a prepares', 'meeting-a settles'])
    expect(commit.turns).toBe(2)
  })

  it('that a bug ends does not end those after it', () => {
    const { timers, commit, room, happened } = commitBench()
    let fails = true
    const kit = room('kit', () => {
      if (fails) throw new Error('a bug')
      return {}
    })
    kit.request()
    expect(() => timers.endTurn()).toThrow('a bug')
    fails = false
    kit.request()
    timers.endTurn()
    expect(happened()).toEqual(['kit prepares', 'kit prepares', 'kit settles'])
    expect(commit.readOnly).toBeNull()
  })
})

it('a failed write is told in its own words, by a database in the words it has for people', () => {
  expect(reasonOf(new Error('plain'))).toBe('plain')
  expect(reasonOf(Object.assign(new Error('raw'), { reason: 'The disk is full.' }))).toBe('The disk is full.')
  expect(reasonOf(Object.assign(new Error('raw'), { reason: 28 }))).toBe('raw')
  expect(reasonOf('thrown text')).toBe('the board could not be written')
})
