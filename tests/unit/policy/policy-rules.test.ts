import fc from '../../support/fast-check'
import { expect, test } from 'vitest'
import { BoardReading, isRecordId, parseKey } from '@/lib/board'
import { runDigest } from '@/lib/card'
import type { Json } from '@/lib/core/json'
import { boardRules } from '@/server/sync/guard-rules'
import { boardOf, syncDesk } from '../sync/sync-desk'

function pit() {
  const desk = syncDesk({ rules: boardRules })
  const now = desk.clock.ms
  void desk.server.editAsServer('kit', (doc) => {
    doc.getMap('cars').set('rook:driverId', 'dana')
    doc.getMap('people').set('dana:name', 'Dana')
  })
  void desk.server.editAsServer('meeting-m1', (doc) => {
    doc.getMap('meeting').set('meeting:startsAt', now)
    doc.getMap('heats').set('h:number', 3)
    doc.getMap('entries').set('run:carId', 'rook')
    doc.getMap('entries').set('run:heatId', 'h')
  })
  desk.endTurn()
  const dana = desk.phone('driver', 'dana')
  const kit = desk.phone('driver', 'dana', 'kit')
  const digest = () => {
    const reading = new BoardReading({ kit: kit.doc, meeting: dana.doc })
    const view = reading.view()
    reading.close()
    return runDigest(view, { runId: 'run', carId: 'rook', run: view.runs.get('run') })
  }
  const board = () => boardOf(desk.phone('guest', 'gus').doc)
  return { desk, now, dana, digest, board }
}

test('[S4] an accept made offline that is stale when it arrives comes back in words, and harms nothing', () => {
  const { desk, now, dana, digest, board } = pit()
  dana.disconnect()
  dana.set('runs', 'run:accepted', { by: 'dana', at: now, covers: digest() })
  const ilse = desk.phone('mechanic', 'ilse')
  ilse.set('cardValues', 'rook.pinion:fitted', { v: 23, by: 'ilse', at: now })
  desk.endTurn()
  dana.connect()
  desk.endTurn()
  // Perhaps it rests on something of the kit that is still on its way.
  expect(dana.rejections).toEqual([])
  desk.timers.pass(2_100)
  expect(board()['runs']).toBeUndefined()
  expect(dana.rejections.map((r) => r.reason)).toEqual([
    'Accept “signed”: the car was changed since you looked at it, or the board was restored. Look at the car again and accept it as it is now.',
  ])
  dana.set('runs', 'run:accepted', { by: 'dana', at: now, covers: digest() })
  desk.endTurn()
  expect(board()['runs']).toHaveProperty('run:accepted')
})

test('[S4] an accept leans on what comes with it in the same update', () => {
  const { desk, now, dana, digest, board } = pit()
  dana.disconnect()
  dana.set('cardValues', 'rook.pinion:assigned', { v: 24, by: 'dana', at: now })
  dana.set('runs', 'run:accepted', { by: 'dana', at: now, covers: digest() })
  dana.connect()
  desk.endTurn()
  expect(dana.rejections).toEqual([])
  expect(board()).toMatchObject({ runs: { 'run:accepted': { by: 'dana' } }, cardValues: {} })
})

test('[S4] a mechanic freezes a record with the start stamp of the same update, not before it', () => {
  const { desk, now, board } = pit()
  const ilse = desk.phone('mechanic', 'ilse')
  const v = {
    frozenAt: now,
    values: {},
    packId: null,
    tireSetId: null,
    missing: [],
    accepted: false,
    digest: '',
  }
  const record: Json = { v, by: 'ilse', at: now }
  ilse.set('runs', 'run:record', record)
  desk.endTurn()
  expect(board()['runs']).toBeUndefined()
  ilse.doc.transact(() => {
    ilse.set('runs', 'run:record', record)
    ilse.set('heats', 'h:startedAt', { v: now, by: 'ilse', at: now })
  })
  desk.endTurn()
  expect(board()['runs']).toEqual({ 'run:record': record })
})

test.each([
  ['six minutes ahead', 6 * 60_000, false],
  ['four minutes ahead', 4 * 60_000, true],
  ['three days late', -3 * 86_400_000, true],
  ['31 days late', -31 * 86_400_000, false],
])('[S4] a stamp %s', (_, shift, taken) => {
  const { desk, now, dana, board } = pit()
  dana.set('notes', 'n:text', { v: 'Dust', by: 'dana', at: now + shift })
  desk.endTurn()
  expect('notes' in board()).toBe(taken)
})

test('[S5] whatever is a record id can be kept in a plain object and found again, and nothing else is one', () => {
  for (const bad of [
    '',
    '__proto__',
    'constructor',
    'a.toString',
    'prototype',
    'a:b',
    'a..b',
    '.a',
    'a.',
    'é',
    'x'.repeat(161),
  ])
    expect(isRecordId(bad), bad).toBe(false)
  const text = fc.oneof(
    fc.string({ unit: 'binary' }),
    fc.constantFrom(...Object.getOwnPropertyNames(Object.prototype)),
  )
  fc.assert(
    fc.property(text, fc.constantFrom('', '.', ':', 'x'), text, (a, joint, b) => {
      const id = a + joint + b
      const parsed = parseKey(`${id}:name`)
      if (!isRecordId(id)) return parsed?.recordId !== id
      const plain: Record<string, number> = {}
      plain[id] = 1
      return (
        parsed?.recordId === id &&
        Object.keys(plain).length === 1 &&
        !id.split('.').some((part) => part in {}) &&
        id === id.normalize('NFC')
      )
    }),
    { numRuns: 2_000 },
  )
})
