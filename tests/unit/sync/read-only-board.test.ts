import { describe, expect, it } from 'vitest'
import { commitBench, update } from './commit-bench'

/** A kit whose write has just failed, and a meeting that had no part in it. */
function failed(words = 'full') {
  const bench = commitBench()
  const kit = bench.room('kit', { updates: [update('kit')] })
  const meeting = bench.room('meeting-a')
  bench.disk.full = new Error(words)
  kit.request()
  bench.timers.endTurn()
  return { ...bench, kit, meeting }
}

describe('[S7] a board that can’t be written', () => {
  it('settles nothing: every room forgets, with the reason', () => {
    const { commit, happened, logged, written } = failed()
    expect(happened()).toEqual(['kit prepares', 'kit forgets: full', 'meeting-a forgets: full'])
    expect([commit.readOnly, commit.failures, commit.turns]).toEqual(['full', 1, 1])
    expect(logged).toEqual(['error: the board could not be written (full)'])
    expect(written).toEqual([])
  })

  it('is tried after 0.5, 1, 2 and 4 s, then every 4 s, with a change of nothing, and tells the newest reason', () => {
    const { disk, timers, commit, happened, took } = failed()
    happened()
    const tries: number[] = []
    let before = took.length
    disk.full = new Error('still full')
    for (let ms = 0; ms < 16_000; ms += 100) {
      timers.pass(100)
      if (took.length > before) tries.push(timers.now)
      before = took.length
    }
    expect(tries).toEqual([500, 1_500, 3_500, 7_500, 11_500, 15_500])
    expect([commit.readOnly, commit.failures, happened()]).toEqual(['still full', 1, []])
  })

  it('goes on by itself when writing works again, and is tried no more', () => {
    const { disk, timers, commit, happened, logged, written } = failed()
    happened()
    disk.full = null
    timers.pass(499)
    expect([commit.readOnly, happened()]).toEqual(['full', []])
    timers.pass(1)
    expect([commit.readOnly, happened()]).toEqual([null, ['kit goes on', 'meeting-a goes on']])
    expect(written).toEqual([
      {
        updates: [{ room: 'kit', update: Uint8Array.of(0, 0), at: 42 }],
        authors: [],
        audit: [],
        alongside: [],
      },
    ])
    expect(logged.at(-1)).toBe('info: the board can be written again')
    timers.pass(20_000)
    expect([written.length, happened()]).toEqual([1, []])
  })

  it('has rooms read again of which more is stored than they were told, before they go on', () => {
    const { disk, timers, happened } = failed()
    happened()
    disk.full = null
    disk.found = ['meeting-a']
    timers.pass(500)
    expect(happened()).toEqual(['meeting-a reads again', 'kit goes on', 'meeting-a goes on'])
  })

  it('is tried on although it can’t be found out what is stored', () => {
    const { disk, timers, commit, logged } = failed()
    disk.full = 'unreadable'
    timers.pass(500)
    expect(logged.at(-2)).toBe('error: what became of a commit could not be found out (no answer)')
    expect(commit.readOnly).toBe('the board could not be written')
    disk.full = null
    timers.pass(1_000)
    expect(commit.readOnly).toBeNull()
  })

  it('without any room is writable again all the same, and no room comes of the try', () => {
    const { disk, timers, commit, written, kit, meeting } = failed()
    kit.leave()
    meeting.leave()
    disk.full = null
    timers.pass(500)
    expect([commit.readOnly, written]).toEqual([null, []])
  })

  it('that fails again in a turn is tried soon again, and once each time', () => {
    const { disk, timers, commit, kit, took } = failed()
    timers.pass(500)
    timers.pass(900)
    // The next try was due in 0.1 s.
    kit.request()
    timers.endTurn()
    expect(commit.failures).toBe(2)
    const before = took.length
    timers.pass(499)
    expect(took.length).toBe(before)
    disk.full = null
    timers.pass(1)
    expect([took.length - before, commit.readOnly]).toEqual([1, null])
    timers.pass(9_000)
    expect(took.length - before).toBe(1)
  })

  it('settles turns that write nothing without looking at the disk: their rooms acknowledge nothing then', () => {
    const { disk, timers, meeting, happened, commit } = failed()
    happened()
    disk.gone = new Error('gone as well')
    meeting.request()
    timers.endTurn()
    expect(happened()).toEqual(['meeting-a prepares', 'meeting-a settles'])
    expect([commit.readOnly, commit.failures]).toEqual(['full', 1])
  })
})

describe('[S26] a board that is no longer where it was opened', () => {
  it('acknowledges nothing, though nothing was to be written', () => {
    const { disk, timers, commit, room, happened, logged } = commitBench()
    const kit = room('kit')
    disk.gone = new Error('gone')
    kit.request()
    timers.endTurn()
    expect(happened()).toEqual(['kit prepares', 'kit forgets: gone'])
    expect(commit.readOnly).toBe('gone')
    expect(logged).toEqual(['error: the board is no longer where it was opened (gone)'])
  })

  it('is noticed by a look every second, which counts as one failure however long it lasts', () => {
    const { disk, timers, commit, room, happened } = commitBench()
    room('kit')
    timers.pass(3_000)
    expect(commit.readOnly).toBeNull()
    disk.gone = new Error('gone')
    disk.full = disk.gone
    timers.pass(999)
    expect(commit.readOnly).toBeNull()
    timers.pass(1)
    expect(happened()).toEqual(['kit forgets: gone'])
    timers.pass(9_000)
    expect([commit.failures, happened()]).toEqual([1, []])
    disk.gone = disk.full = null
    timers.pass(4_000)
    expect(happened()).toEqual(['kit goes on'])
  })

  it('is not looked at in the middle of a turn, which finds out by itself', () => {
    const { disk, timers, room, happened } = commitBench()
    const kit = room('kit', () => {
      disk.gone = new Error('gone')
      timers.pass(1_000)
      return {}
    })
    kit.request()
    timers.endTurn()
    expect(happened()).toEqual(['kit prepares', 'kit forgets: gone'])
  })

  it('is neither looked at nor tried any more after closing', () => {
    const { disk, timers, commit, room, happened, took } = commitBench()
    const kit = room('kit', { updates: [update('kit')] })
    disk.full = new Error('full')
    kit.request()
    timers.endTurn()
    const before = took.length
    commit.close()
    timers.pass(9_000)
    expect([took.length, commit.readOnly]).toEqual([before, 'full'])
    const other = commitBench()
    other.room('kit')
    other.commit.close()
    other.disk.gone = new Error('gone')
    other.timers.pass(9_000)
    expect([other.happened(), other.commit.readOnly]).toEqual([[], null])
    happened()
  })
})
