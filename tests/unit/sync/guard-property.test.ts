import fc from '../../support/fast-check'
import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { storedBoard, syncDesk } from './sync-desk'

/**
 * Three phones of different roles edit the same few keys, allowed and not, offline and online, in any order. Forbidden values are marked,
 * so that a watcher can tell when one comes through.
 */
const step = fc.record({
  who: fc.nat(2),
  act: fc.constantFrom(
    'allowed',
    'allowed',
    'forbidden',
    'broken',
    'delete',
    'both',
    'turn',
    'leave',
    'join',
  ),
  key: fc.nat(3),
})

describe('the guard under any order of work', () => {
  it('[S6] no forbidden value is ever seen by another phone, and all agree in the end', () => {
    fc.assert(
      fc.property(
        fc.array(step, { minLength: 10, maxLength: 80 }),
        fc.shuffledSubarray([3, 14, 159], { minLength: 3 }),
        (steps, ids) => {
          const desk = syncDesk({ limits: { offences: 1e9 } })
          const watcher = desk.phone('manager', 'watch')
          const roles = ['mechanic', 'driver', 'guest'] as const
          const phones = roles.map((role, i) =>
            desk.phone(role, role, 'meeting-m1', Object.assign(new Y.Doc(), { clientID: ids[i]! })),
          )
          const leaks: string[] = []
          const watch = (doc: Y.Doc, me: string) =>
            doc.on('update', () => {
              for (const name of ['notes', 'people', 'cars'])
                for (const [key, v] of doc.getMap(name).entries())
                  if (String(v).startsWith('!') && !String(v).startsWith(`!${me}`))
                    leaks.push(`${me} saw ${key}=${String(v)}`)
            })
          watch(watcher.doc, 'watch')
          phones.forEach((p, i) => watch(p.doc, roles[i]!))
          let n = 0
          for (const s of steps) {
            const phone = phones[s.who]!
            const role = roles[s.who]!
            const allowed = () =>
              phone.set('notes', `n${s.key}:text`, role === 'guest' ? `!guest ${++n}` : `${role} ${++n}`)
            const forbidden = () => phone.set('people', `p${s.key}:text`, `!${role} ${++n}`)
            if (s.act === 'allowed') allowed()
            if (s.act === 'forbidden') forbidden()
            if (s.act === 'both') phone.doc.transact(() => (allowed(), forbidden()))
            if (s.act === 'broken') phone.set('notes', `n${s.key}:text`, `!${role} ${'long '.repeat(20)}`)
            if (s.act === 'delete') phone.doc.getMap('notes').delete(`n${s.key}:text`)
            if (s.act === 'turn') desk.endTurn()
            if (s.act === 'leave') phone.disconnect()
            if (s.act === 'join') phone.connect()
          }
          for (const phone of phones) phone.connect()
          desk.endTurn()
          expect(leaks).toEqual([])
          const board = watcher.board()
          for (const phone of phones) expect(phone.board()).toEqual(board)
          expect(storedBoard(desk.store)).toEqual(board)
          expect(Object.keys(board).filter((name) => name !== 'notes')).toEqual([])
          for (const phone of phones) expect(phone.doc.store.pendingStructs).toBeNull()
          expect(desk.logged.filter((l) => l.level === 'error')).toEqual([])
        },
      ),
      { numRuns: 300 },
    )
  })
})
