import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { syncDesk } from './sync-desk'

describe('the audit trail', () => {
  it('[S13] says who changed which field from what to what, and where', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    a.set('cars', 'c1:weight', 1500)
    desk.endTurn()
    desk.clock.ms += 1000
    const m = desk.phone('mechanic', 'bea')
    m.set('cars', 'c1:weight', 1510)
    desk.endTurn()
    const base = {
      room: 'meeting-m1',
      collection: 'cars',
      recordId: 'c1',
      field: 'weight',
      outcome: 'accepted',
    }
    expect(desk.history()).toMatchObject([
      { ...base, personId: 'ann', deviceId: a.session.deviceId, before: null, after: 1500 },
      { ...base, personId: 'bea', before: 1500, after: 1510, at: desk.clock.ms },
    ])
  })

  it('[S13] an offline edit that lost the merge is recorded as overwritten, with its value', () => {
    const desk = syncDesk()
    const doc = (clientID: number) => Object.assign(new Y.Doc(), { clientID })
    const low = desk.phone('mechanic', 'low', 'meeting-m1', doc(5))
    const high = desk.phone('mechanic', 'high', 'meeting-m1', doc(50))
    high.set('notes', 'n1:text', 'start')
    desk.endTurn()
    low.disconnect()
    low.set('notes', 'n1:text', 'from the dead spot')
    high.set('notes', 'n1:text', 'from the pit')
    desk.endTurn()
    low.connect()
    expect(low.board()).toEqual({ notes: { 'n1:text': 'from the pit' } })
    expect(desk.history().at(-1)).toMatchObject({
      personId: 'low',
      outcome: 'overwritten',
      before: 'from the pit',
      after: 'from the dead spot',
    })
    expect(low.rejections).toEqual([])
  })

  it('[S13] a huge refused value is not kept', () => {
    const desk = syncDesk()
    const m = desk.phone('mechanic', 'mal')
    m.set('notes', 'n1:text', 'x'.repeat(100_000))
    desk.endTurn()
    expect(m.rejections).toMatchObject([{ kind: 'schema', attempted: null }])
    expect(desk.history()).toMatchObject([{ outcome: 'refused', after: null }])
  })

  it('[S13] a hostile phone cannot fill the trail with refused edits', () => {
    const desk = syncDesk({ limits: { refusedAuditPerMinute: 5 } })
    const m = desk.phone('mechanic', 'mal')
    for (let i = 0; i < 40; i++) m.set('people', `p${i}:text`, 'x')
    desk.endTurn()
    expect(desk.history().length).toBe(5)
    expect(desk.server.stats().edits.refused).toBe(40)
    desk.timers.pass(60_000)
    m.set('people', 'p1:text', 'x')
    desk.endTurn()
    expect(desk.history().length).toBe(6)
  })
})
