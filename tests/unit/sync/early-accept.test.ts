import { expect, test } from 'vitest'
import { BoardReading } from '@/lib/board'
import { runDigest } from '@/lib/card'
import { boardRules } from '@/server/sync/guard-rules'
import { boardOf, syncDesk, type Phone } from './sync-desk'

function pit() {
  const desk = syncDesk({ rules: boardRules })
  void desk.server.editAsServer('kit', (doc) => {
    doc.getMap('cars').set('rook:driverId', 'dana')
    doc.getMap('cars').set('rook:motorId', 'm1')
    doc.getMap('people').set('dana:name', 'Dana')
  })
  void desk.server.editAsServer('meeting-m1', (doc) => {
    doc.getMap('meeting').set('meeting:startsAt', desk.clock.ms)
    doc.getMap('heats').set('h:number', 3)
    doc.getMap('entries').set('run:carId', 'rook')
    doc.getMap('entries').set('run:heatId', 'h')
  })
  desk.endTurn()
  const kit = desk.phone('manager', 'dana', 'kit')
  const meeting = desk.phone('manager', 'dana')
  const accept = (at = desk.clock.ms) => {
    const reading = new BoardReading({ kit: kit.doc, meeting: meeting.doc })
    const view = reading.view()
    reading.close()
    const covers = runDigest(view, { runId: 'run', carId: 'rook', run: view.runs.get('run') })
    meeting.set('runs', 'run:accepted', { by: 'dana', at, covers })
  }
  const board = () => boardOf(desk.phone('guest', 'gus').doc)['runs'] ?? {}
  return { desk, kit, meeting, accept, board }
}
const said = (phone: Phone) => phone.rejections.map((r) => r.reason)

test('[S4] an accept that comes before the edit of the kit that it rests on waits for it', () => {
  const { desk, kit, meeting, accept, board } = pit()
  kit.disconnect()
  meeting.disconnect()
  kit.set('cars', 'rook:motorId', 'm2')
  accept()
  meeting.connect()
  const n = meeting.barrier()
  desk.endTurn()
  desk.timers.pass(1_000)
  expect(board()).toEqual({})
  expect(meeting.acked).toBeLessThan(n)
  expect(said(meeting)).toEqual([])
  kit.connect()
  desk.timers.pass(100)
  expect(board()).toHaveProperty('run:accepted')
  expect(meeting.acked).toBe(n)
  expect([said(meeting), said(kit)]).toEqual([[], []])
})

test('[S4] both on their lines at once: whichever is read first', () => {
  const { desk, kit, meeting, accept, board } = pit()
  kit.online = false
  kit.set('cars', 'rook:motorId', 'm2')
  accept()
  desk.endTurn()
  kit.disconnect()
  kit.connect()
  desk.timers.pass(100)
  expect(board()).toHaveProperty('run:accepted')
  expect(said(meeting)).toEqual([])
})

test('[S4] what follows an accept that waits waits too, and comes in its order; others go on', () => {
  const { desk, kit, meeting, accept, board } = pit()
  const ilse = desk.phone('mechanic', 'ilse')
  kit.online = false
  kit.set('cars', 'rook:motorId', 'm2')
  accept()
  desk.endTurn()
  meeting.set('runs', 'run:accepted', null)
  const [n, other] = [meeting.barrier(), ilse.barrier()]
  desk.timers.pass(500)
  expect([meeting.acked, ilse.acked]).toEqual([0, other])
  kit.disconnect()
  kit.connect()
  desk.timers.pass(200)
  expect(meeting.acked).toBe(n)
  expect(board()).toEqual({ 'run:accepted': null })
  expect(
    desk
      .history()
      .filter((e) => e.field === 'accepted')
      .map((e) => e.outcome),
  ).toEqual(['accepted', 'accepted'])
})

test('[S4] an accept whose ground never comes is refused after a moment, and its author can accept anew', () => {
  const { desk, kit, meeting, accept, board } = pit()
  kit.online = false
  kit.set('cars', 'rook:motorId', 'm2')
  accept()
  const n = meeting.barrier()
  desk.endTurn()
  desk.timers.pass(2_100)
  expect(meeting.acked).toBe(n)
  expect(said(meeting)).toEqual([expect.stringContaining('Look at the car again')])
  expect(board()).toEqual({})
  kit.disconnect()
  kit.connect()
  accept(desk.clock.ms + 1)
  desk.endTurn()
  expect(board()).toHaveProperty('run:accepted')
})

test('[S4] a phone that goes while its accept waits leaves nothing behind', () => {
  const { desk, kit, meeting, accept, board } = pit()
  kit.online = false
  kit.set('cars', 'rook:motorId', 'm2')
  accept()
  desk.endTurn()
  meeting.disconnect()
  desk.timers.pass(2_100)
  expect(board()).toEqual({})
  meeting.connect()
  kit.disconnect()
  kit.connect()
  desk.timers.pass(100)
  expect(board()).toHaveProperty('run:accepted')
})
