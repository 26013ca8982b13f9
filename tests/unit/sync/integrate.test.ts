import fc from '../../support/fast-check'
import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { integrate } from '@/server/sync/integrate'
import { DEFAULT_LIMITS } from '@/server/sync/limits'
import { vetUpdate } from '@/server/sync/vet-update'

/** Random documents of every shape Yjs knows: the guard must agree with Yjs on what an update means, whatever the board allows. */
const step = fc.record({
  who: fc.nat(2),
  act: fc.constantFrom('set', 'delete', 'push', 'cut', 'nest', 'text', 'sync', 'send'),
  key: fc.constantFrom('a', 'b', 'c'),
  value: fc.oneof(fc.integer(), fc.string({ maxLength: 4 }), fc.constant(null), fc.constant([1, { x: 2 }])),
  at: fc.nat(5),
})

describe('vetting and integrating', () => {
  it('[S2] gives the document that Yjs itself would have made, update by update', () => {
    fc.assert(
      fc.property(fc.array(step, { minLength: 5, maxLength: 60 }), (steps) => {
        const clients = [0, 1, 2].map((i) => Object.assign(new Y.Doc(), { clientID: 11 + i * 7 }))
        const ours = new Y.Doc()
        const theirs = new Y.Doc()
        for (const d of [ours, theirs]) {
          d.getMap('m')
          d.getArray('l')
        }
        const take = (update: Uint8Array) => {
          const vetted = vetUpdate(update, ours, DEFAULT_LIMITS)
          Y.applyUpdate(theirs, update)
          const whole = theirs.store.pendingStructs === null && theirs.store.pendingDs === null
          expect(vetted.ok).toBe(whole)
          if (!vetted.ok) {
            theirs.store.pendingStructs = null
            theirs.store.pendingDs = null
            return
          }
          Y.transact(ours, (tr) => integrate(tr, vetted.value))
        }
        for (const s of steps) {
          const doc = clients[s.who]!
          const map = doc.getMap('m')
          const list = doc.getArray('l')
          let update: Uint8Array | null = null
          const catchUpdate = (u: Uint8Array) => (update = u)
          doc.on('update', catchUpdate)
          doc.transact(() => {
            if (s.act === 'set') map.set(s.key, s.value)
            if (s.act === 'delete') map.delete(s.key)
            if (s.act === 'push') list.insert(Math.min(s.at, list.length), [s.value, s.at])
            if (s.act === 'cut' && list.length > 0) list.delete(Math.min(s.at, list.length - 1), 1)
            if (s.act === 'nest') map.set(s.key, new Y.Map([[s.key, s.at]]))
            if (s.act === 'text') {
              const t =
                map.get('t') instanceof Y.Text ? (map.get('t') as Y.Text) : map.set('t', new Y.Text('start'))
              t.insert(Math.min(s.at, t.length), `${s.value}`)
              if (t.length > 3) t.delete(1, 2)
            }
          })
          doc.off('update', catchUpdate)
          if (s.act === 'sync') Y.applyUpdate(doc, Y.encodeStateAsUpdate(ours, Y.encodeStateVector(doc)))
          // Whole documents, partly known already, and single updates that may lack ancestors the server never got.
          if (s.act === 'send' || s.act === 'sync')
            take(Y.encodeStateAsUpdate(doc, Y.encodeStateVector(ours)))
          else if (update && s.at > 1) take(update)
          if (s.at === 5) take(Y.encodeStateAsUpdate(doc))
        }
        for (const doc of clients) take(Y.encodeStateAsUpdate(doc))
        expect(ours.getMap('m').toJSON()).toEqual(theirs.getMap('m').toJSON())
        expect(ours.getArray('l').toJSON()).toEqual(theirs.getArray('l').toJSON())
        // A refused update may leave its applicable half in theirs; without one the bytes agree too.
        const bytes = (d: Y.Doc) => Buffer.from(Y.encodeStateAsUpdate(d)).toString('hex')
        expect(bytes(ours)).toBe(bytes(theirs))
      }),
      { numRuns: 400 },
    )
  })
})
