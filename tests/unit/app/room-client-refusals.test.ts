import { describe, expect, it } from 'vitest'
import type { Json } from '@/lib/core/json'
import { writeRejection } from '@/lib/sync/frames'
import type { Rejection } from '@/lib/sync/states'
import { roomTabs } from './room-tabs'

const { network, openTab } = roomTabs()

const whole = (kind: Rejection['kind']): Rejection => ({
  kind,
  path: null,
  attempted: null,
  restored: null,
  reason: 'no',
  at: 1,
})
const ofName = (recordId: string, attempted: Json | null): Rejection => ({
  ...whole('policy'),
  path: { collection: 'cars', recordId, field: 'name' },
  attempted,
})

/** A tab whose edits nobody acknowledges, and the refusals that it is told. */
async function openUnanswered() {
  const tab = await openTab()
  network().room('kit').answers = false
  const refuse = (...refusals: Rejection[]) => refusals.forEach((r) => tab.hear(writeRejection(r)))
  return { ...tab, refuse, waiting: () => tab.room.pendingKeys() }
}

describe('[S23] a page whose edits are taken for somebody else’s', () => {
  it.each(['authorship', 'generation'] as const)(
    'begins anew (%s), and hears of no refusal',
    async (kind) => {
      const { refuse, heard, rename, waiting, room } = await openUnanswered()
      rename('rook', 'Rook')
      refuse(whole(kind))
      expect([heard.unfit, heard.rejections]).toEqual([['server'], []])
      // Nothing more is news, and nothing of the server's flows into it.
      refuse(whole('too-large'), whole(kind))
      expect([heard.unfit, heard.rejections]).toEqual([['server'], []])
      expect(waiting()).toEqual(['cars|rook:name'])
      expect(room.isCurrent).toBe(false)
    },
  )
})

describe('[S24] a page that is told to begin anew', () => {
  it('does so, without what was refused on its own account', async () => {
    const { refuse, heard, rename, waiting, store } = await openUnanswered()
    rename('rook', 'Rook')
    rename('wren', 'Wren')
    refuse(ofName('rook', 'Rook'), whole('anew'))
    expect(waiting()).toEqual(['cars|wren:name'])
    expect([heard.unfit, heard.rejections.map((r) => r.path?.recordId)]).toEqual([['server'], ['rook']])
    await store.settled()
    expect((await store.read('kit', 0)).pending.map((t) => t.key)).toEqual(['cars|wren:name'])
  })

  it('keeps what has another value by now, and not what is too big to be told back', async () => {
    const { refuse, rename, waiting } = await openUnanswered()
    rename('rook', 'Rook')
    rename('wren', 'Wren')
    rename('rook', 'Rook 4WD')
    refuse(ofName('rook', 'Rook'), ofName('wren', null), whole('anew'))
    expect(waiting()).toEqual(['cars|rook:name'])
  })

  it('keeps what was edited again after an answer', async () => {
    const { refuse, rename, waiting } = await openUnanswered()
    rename('rook', 'Rook')
    refuse(ofName('rook', 'Rook'))
    network().room('kit').answers = true
    rename('wren', 'Wren')
    await network().settle()
    expect(waiting()).toEqual([])
    network().room('kit').answers = false
    rename('rook', 'Rook')
    refuse(whole('anew'))
    expect(waiting()).toEqual(['cars|rook:name'])
  })

  it('keeps what was refused on an earlier socket', async () => {
    const { refuse, rename, waiting } = await openUnanswered()
    rename('rook', 'Rook')
    refuse(ofName('rook', 'Rook'))
    network().cut()
    network().reconnect()
    await network().settle()
    refuse(whole('anew'))
    expect(waiting()).toEqual(['cars|rook:name'])
  })
})

describe('[S8] answers that build on what the server lacks', () => {
  it('are refused twice; at the third the page begins anew', async () => {
    const { refuse, heard } = await openUnanswered()
    refuse(whole('gap'), whole('gap'))
    expect([heard.unfit, heard.rejections.length]).toEqual([[], 2])
    refuse(whole('gap'))
    expect([heard.unfit, heard.rejections.length]).toEqual([['server'], 2])
  })

  it('are counted for each socket, and other refusals are not', async () => {
    const { refuse, heard } = await openUnanswered()
    refuse(whole('gap'), whole('gap'), whole('too-large'), ofName('rook', 'Rook'))
    network().cut()
    network().reconnect()
    await network().settle()
    refuse(whole('gap'), whole('gap'))
    expect([heard.unfit, heard.rejections.length]).toEqual([[], 6])
  })
})

describe('[S8] one field that is refused', () => {
  it('leaves the answers to everything else as they are', async () => {
    const { refuse, rename, mark, heard } = await openUnanswered()
    rename('rook', 'Rook')
    await Promise.resolve()
    network().room('kit').answers = true
    refuse(ofName('wren', 'Wren'))
    await network().settle()
    expect([mark('rook'), heard.rejections.length]).toEqual(['saved', 1])
  })
})
