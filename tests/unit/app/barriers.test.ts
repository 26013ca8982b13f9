import { describe, expect, it } from 'vitest'
import { Barriers } from '@/app/sync/barriers'
import { PendingKeys } from '@/app/sync/pending-keys'
import type { Barrier } from '@/lib/sync/frames'

function setUp() {
  const pending = new PendingKeys()
  const sent: Barrier[] = []
  const turns: (() => void)[] = []
  const barriers = new Barriers(
    pending,
    (b) => sent.push(b),
    (run) => turns.push(run),
  )
  let n = 0
  const edit = (key: string) => {
    pending.touch({ key, token: `me:${++n}` })
    barriers.request()
  }
  const endTurn = () => turns.splice(0).forEach((run) => run())
  return { pending, sent, barriers, edit, endTurn }
}

describe('[S8] barriers', () => {
  it('no barrier leaves before the server’s SyncStep1 was answered', () => {
    const { sent, barriers, edit, endTurn } = setUp()
    barriers.connected()
    edit('a')
    endTurn()
    expect(sent).toEqual([])
    barriers.step1Answered()
    endTurn()
    expect(sent).toEqual([{ epoch: 1, n: 1 }])
  })

  it('edits of one turn share one barrier', () => {
    const { sent, barriers, edit, endTurn, pending } = setUp()
    barriers.connected()
    barriers.step1Answered()
    endTurn()
    edit('a')
    edit('b')
    endTurn()
    expect(sent).toHaveLength(1)
    expect(barriers.answered(sent[0]!).map((t) => t.key)).toEqual(['a', 'b'])
    expect(pending.size).toBe(0)
  })

  it('a field touched again after a barrier left stays pending when that barrier is answered', () => {
    const { sent, barriers, edit, endTurn, pending } = setUp()
    barriers.connected()
    barriers.step1Answered()
    edit('a')
    edit('b')
    endTurn()
    edit('a')
    barriers.answered(sent[0]!)
    expect(pending.keys()).toEqual(['a'])
    endTurn()
    barriers.answered(sent[1]!)
    expect(pending.size).toBe(0)
  })

  it('an answer to a barrier of an earlier socket proves nothing', () => {
    const { sent, barriers, edit, endTurn, pending } = setUp()
    barriers.connected()
    barriers.step1Answered()
    edit('a')
    endTurn()
    barriers.disarm()
    barriers.connected()
    expect(barriers.answered(sent[0]!)).toEqual([])
    expect(pending.has('a')).toBe(true)
  })

  it('a barrier that is scheduled while the socket goes away is not sent', () => {
    const { sent, barriers, edit, endTurn } = setUp()
    barriers.connected()
    barriers.step1Answered()
    edit('a')
    barriers.disarm()
    endTurn()
    expect(sent).toEqual([])
  })

  it('after a refused update, answers already on their way count no more until SyncStep1 was answered again', () => {
    const { sent, barriers, edit, endTurn, pending } = setUp()
    barriers.connected()
    barriers.step1Answered()
    edit('a')
    endTurn()
    barriers.disarm()
    barriers.answered(sent[0]!)
    expect(pending.has('a')).toBe(true)
    barriers.step1Answered()
    endTurn()
    barriers.answered(sent[1]!)
    expect(pending.size).toBe(0)
  })

  it('a later answer covers earlier barriers whose answers never came', () => {
    const { sent, barriers, edit, endTurn, pending } = setUp()
    barriers.connected()
    barriers.step1Answered()
    edit('a')
    endTurn()
    edit('b')
    endTurn()
    barriers.answered(sent[1]!)
    expect(pending.size).toBe(0)
    expect(barriers.unanswered).toBe(0)
  })
})

describe('[S8] what barriers wait for', () => {
  it('is counted; the answer to an earlier one leaves the later ones waiting', () => {
    const { sent, barriers, edit, endTurn, pending } = setUp()
    barriers.connected()
    expect(barriers.armed).toBe(false)
    barriers.step1Answered()
    expect(barriers.armed).toBe(true)
    for (const key of ['a', 'b', 'c']) {
      edit(key)
      endTurn()
    }
    expect(barriers.unanswered).toBe(3)
    barriers.answered(sent[1]!)
    expect([barriers.unanswered, pending.keys()]).toEqual([1, ['c']])
    // An answer that comes late has nothing to say any more.
    expect(barriers.answered(sent[0]!)).toEqual([])
    barriers.answered(sent[2]!)
    expect([barriers.unanswered, pending.size]).toEqual([0, 0])
  })

  it('is nothing before there was a socket', () => {
    const { sent, edit, endTurn } = setUp()
    edit('a')
    endTurn()
    expect(sent).toEqual([])
  })

  it('is no answer of another socket, whatever its number, and none to what was never asked', () => {
    const { sent, barriers, edit, endTurn, pending } = setUp()
    barriers.connected()
    barriers.step1Answered()
    edit('a')
    endTurn()
    const [{ epoch, n }] = sent as [Barrier]
    expect(barriers.answered({ epoch: epoch + 1, n })).toEqual([])
    expect(barriers.answered({ epoch, n: n + 1 })).toEqual([])
    expect(pending.keys()).toEqual(['a'])
  })
})

describe('pending keys of several tabs', () => {
  const mine = (token: string) => token.startsWith('me:')

  it('what another tab wrote down is pending here until it is no longer written down', () => {
    const pending = new PendingKeys()
    pending.adopt([{ key: 'a', token: 'other:1' }], mine)
    expect(pending.has('a')).toBe(true)
    pending.adopt([], mine)
    expect(pending.has('a')).toBe(false)
  })

  it('one’s own touches are settled by oneself only', () => {
    const pending = new PendingKeys()
    pending.touch({ key: 'a', token: 'me:1' })
    pending.adopt([], mine)
    expect(pending.has('a')).toBe(true)
    pending.settle(pending.horizon)
    pending.adopt([{ key: 'a', token: 'me:1' }], mine)
    expect(pending.has('a')).toBe(false)
  })

  it('a touch adopted after a barrier left is not covered by it', () => {
    const pending = new PendingKeys()
    pending.touch({ key: 'a', token: 'me:1' })
    const horizon = pending.horizon
    pending.adopt([{ key: 'b', token: 'other:1' }], mine)
    expect(pending.settle(horizon).map((t) => t.key)).toEqual(['a'])
    expect(pending.keys()).toEqual(['b'])
  })
})
