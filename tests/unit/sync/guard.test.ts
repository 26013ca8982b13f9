import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import { boardOf, storedBoard, syncDesk, type Phone, updateOf } from './sync-desk'

/** Everything a phone was ever shown, as text, to search for what must not be there. */
const spy = (phone: Phone) => {
  const seen: string[] = []
  phone.doc.on('update', () => void seen.push(JSON.stringify(boardOf(phone.doc))))
  return seen
}

describe('policy and schema', () => {
  it('[S4] a driver’s edit of another’s car snaps back, and nobody else ever sees it', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    a.set('cars', 'c1:driver', 'dan').set('cars', 'c2:driver', 'eve').set('cars', 'c2:weight', 1500)
    desk.endTurn()
    const dan = desk.phone('driver', 'dan')
    const seen = spy(a)
    dan.set('cars', 'c2:weight', 1666)
    dan.set('cars', 'c1:weight', 1777)
    desk.endTurn()
    expect(seen.join()).not.toContain('1666')
    expect(a.board()).toEqual(dan.board())
    expect(a.get('cars', 'c2:weight')).toBe(1500)
    expect(a.get('cars', 'c1:weight')).toBe(1777)
    expect(dan.rejections).toMatchObject([
      {
        kind: 'policy',
        path: { collection: 'cars', recordId: 'c2', field: 'weight' },
        attempted: 1666,
        restored: 1500,
      },
    ])
    expect(dan.rejections[0]?.reason).toContain('not your car')
    expect(JSON.stringify(desk.history())).toContain('1666') // but the audit knows
    expect(Buffer.from(desk.store.load('meeting-m1').updates.at(-1)!).toString('latin1')).not.toContain(
      '1666',
    )
  })

  it('[S4] a guest’s edits come to nothing, on the guest’s own screen too', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    a.set('notes', 'n1:text', 'one')
    desk.endTurn()
    const seen = spy(a)
    const g = desk.phone('guest')
    g.set('notes', 'n1:text', 'graffiti')
    g.set('notes', 'n2:text', 'graffiti')
    g.doc.getMap('notes').delete('n1:text')
    desk.endTurn()
    expect(seen.join()).not.toContain('graffiti')
    expect(g.board()).toEqual({ notes: { 'n1:text': 'one' } })
    expect(storedBoard(desk.store)).toEqual(g.board())
    expect(g.rejections.every((r) => r.kind === 'policy' || r.kind === 'schema')).toBe(true)
  })

  it('[S4] edits of one update may lean on each other, in any order', () => {
    const desk = syncDesk()
    const rules = desk.phone('manager', 'ann')
    rules.set('cars', 'c1:driver', 'dan')
    desk.endTurn()
    const dan = desk.phone('driver', 'dan')
    dan.doc.transact(() => dan.set('cars', 'c1:weight', 1500).set('notes', 'n1:text', 'mine'))
    desk.endTurn()
    expect(dan.rejections).toEqual([])
  })

  it('[S4] looks the kit up while only a meeting is open', async () => {
    const desk = syncDesk()
    const edit = desk.server.editAsServer('kit', (d) => void d.getMap('cars').set('c9:driver', 'dan'))
    desk.endTurn()
    await edit
    desk.restart()
    const dan = desk.phone('driver', 'dan')
    dan.set('cars', 'c9:weight', 1400)
    desk.endTurn()
    expect(dan.rejections).toEqual([])
    expect(storedBoard(desk.store)).toEqual({ cars: { 'c9:weight': 1400 } })
  })

  it('[S5] values out of range, unknown fields, unknown collections and odd keys snap back', () => {
    const desk = syncDesk({ limits: { offences: 100 } })
    const a = desk.phone('manager', 'ann')
    a.set('cars', 'c1:weight', 1500)
    desk.endTurn()
    const attempts: [string, string, unknown][] = [
      ['cars', 'c1:weight', -3],
      ['cars', 'c1:weight', 'heavy'],
      ['cars', 'c1:wings', 2],
      ['boats', 'b1:weight', 5],
      ['cars', 'no key at all', 5],
      ['cars', '__proto__', 5],
      ['cars', '__proto__:weight', -1],
      ['cars', 'constructor:prototype', 5],
    ]
    for (const [collection, key, v] of attempts) a.set(collection, key, v as number)
    desk.endTurn()
    expect(a.rejections.map((r) => r.kind)).toEqual(attempts.map(() => 'schema'))
    expect(a.rejections.every((r) => r.path !== null)).toBe(true)
    expect(a.board()).toEqual({ cars: { 'c1:weight': 1500 } })
    expect(storedBoard(desk.store)).toEqual(a.board())
    expect(({} as Record<string, unknown>)['weight']).toBeUndefined()
  })

  it('[S5] only plain JSON stays: nested types, bytes, big integers, texts, documents and lists are taken back', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    const b = desk.phone('mechanic', 'bea')
    const nested = new Y.Map()
    nested.set('deep', new Y.Array())
    const odd: unknown[] = [
      nested,
      new Uint8Array([1, 2]),
      10n,
      new Y.Text('hi'),
      new Y.Doc(),
      { a: 5n },
      undefined,
    ]
    a.doc.transact(() => odd.forEach((v, i) => a.set('notes', `n${i}:shape`, v as object)))
    a.doc.getArray('cars2').push(['x'])
    desk.endTurn()
    expect(a.board()).toEqual({})
    expect(b.board()).toEqual({})
    expect(b.doc.subdocs.size).toBe(0)
    expect(storedBoard(desk.store)).toEqual({})
    expect(a.rejections.length).toBe(odd.length + 1)
    // The author's later edits inside what is gone, and beside it, are no trouble.
    nested.set('later', 1)
    a.set('notes', 'n1:text', 'fine')
    desk.endTurn()
    expect(b.board()).toEqual({ notes: { 'n1:text': 'fine' } })
    expect(desk.logged.filter((l) => l.level === 'error')).toEqual([])
  })

  it('[S5] list content in a collection’s map is taken out again', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    a.sendUpdate(updateOf((d) => d.getArray('notes').push(['smuggled', 'goods'])))
    desk.endTurn()
    const doc = new Y.Doc()
    for (const u of desk.store.load('meeting-m1').updates) Y.applyUpdate(doc, u)
    expect(doc.getArray('notes').length).toBe(0)
    expect(a.rejections).toMatchObject([{ kind: 'schema' }])
  })

  it('[S5] an object whose inherited fields would pass for its own is no plain value', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    const update = updateOf((d) => d.getMap('notes').set('n1:shape', { xx_proto: { v: 1 } }))
    // The decoder assigns keys, so this one becomes a prototype.
    const from = Buffer.from('xx_proto'),
      to = Buffer.from('__proto_')
    const bytes = Buffer.from(update)
    const at = bytes.indexOf(from)
    expect(at).toBeGreaterThan(0)
    const forged = Buffer.concat([
      bytes.subarray(0, at - 1),
      Buffer.from([9]),
      Buffer.from('__proto__'),
      bytes.subarray(at + to.length),
    ])
    a.sendUpdate(forged)
    desk.endTurn()
    expect(a.rejections).toMatchObject([{ kind: 'schema' }])
    expect(storedBoard(desk.store)).toEqual({})
  })

  it('[S6] structural deletions, also of other people’s entries, are restored', () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    const b = desk.phone('mechanic', 'bea')
    a.set('cars', 'c1:weight', 1500).set('notes', 'n1:text', 'one')
    desk.endTurn()
    const seen = spy(a)
    b.doc.transact(() => {
      b.doc.getMap('cars').delete('c1:weight')
      b.doc.getMap('notes').delete('n1:text')
      b.set('notes', 'n2:text', 'two')
    })
    desk.endTurn()
    expect(a.board()).toEqual({ cars: { 'c1:weight': 1500 }, notes: { 'n1:text': 'one', 'n2:text': 'two' } })
    expect(b.board()).toEqual(a.board())
    expect(seen.every((s) => s.includes('1500') && s.includes('"one"'))).toBe(true)
    expect(b.rejections.map((r) => r.kind)).toEqual(['schema', 'schema'])
  })

  it('[S6] an author whose edit snapped back goes on in the same session without being poisoned', () => {
    const desk = syncDesk()
    const m = desk.phone('mechanic', 'bea')
    for (let i = 0; i < 30; i++) {
      m.set('people', `p${i}:text`, 'no')
      m.set('notes', `n${i}:text`, 'yes')
      if (i % 7 === 0) desk.endTurn()
    }
    desk.endTurn()
    expect(Object.keys(m.board())).toEqual(['notes'])
    expect(Object.keys(m.board()['notes']!).length).toBe(30)
    expect(m.doc.store.pendingStructs).toBeNull()
    m.disconnect()
    m.connect()
    expect(m.rejections.length).toBe(30)
  })

  it('[S6] a forbidden edit takes nothing from an allowed one made at the same time, whoever’s clientID is higher', () => {
    for (const [honest, hostile] of [
      [10, 20],
      [20, 10],
    ] as const) {
      const desk = syncDesk()
      const ann = desk.phone('manager', 'ann')
      ann.set('notes', 'n1:text', 'old')
      desk.endTurn()
      const doc = (clientID: number) => Object.assign(new Y.Doc(), { clientID })
      const bea = desk.phone('mechanic', 'bea', 'meeting-m1', doc(honest))
      const gus = desk.phone('guest', 'gus', 'meeting-m1', doc(hostile))
      // Nobody hears of the other in time.
      bea.online = gus.online = false
      bea.set('notes', 'n1:text', 'new').set('notes', 'n2:text', 'first')
      gus.set('notes', 'n1:text', 'spray').set('notes', 'n2:text', 'spray')
      const sv = Y.encodeStateVector(ann.doc)
      const [byGus, byBea] = [gus, bea].map((p) => Y.encodeStateAsUpdate(p.doc, sv))
      gus.sendUpdate(byGus!)
      desk.endTurn()
      bea.sendUpdate(byBea!)
      desk.endTurn()
      expect(ann.board()).toEqual({ notes: { 'n1:text': 'new', 'n2:text': 'first' } })
      expect(bea.board()).toEqual(ann.board())
      expect(gus.board()).toEqual(ann.board())
      expect(
        desk
          .history()
          .filter((h) => h.personId === 'bea')
          .map((h) => h.outcome),
      ).toEqual(['accepted', 'accepted'])
    }
  })

  it('[S6] own edits that built on each other in a dead spot stand against a restored value', () => {
    for (const [honest, hostile] of [
      [10, 20],
      [20, 10],
    ] as const) {
      const desk = syncDesk()
      const doc = (clientID: number) => Object.assign(new Y.Doc(), { clientID })
      const bea = desk.phone('mechanic', 'bea', 'meeting-m1', doc(honest))
      const gus = desk.phone('guest', 'gus', 'meeting-m1', doc(hostile))
      bea.set('notes', 'n1:text', 'one')
      desk.endTurn()
      bea.disconnect()
      gus.set('notes', 'n1:text', 'spray')
      desk.endTurn()
      desk.restart() // what the server knows of the restoring must be in the document itself
      bea.set('notes', 'n1:text', 'two').set('notes', 'n1:text', 'three')
      bea.connect()
      expect(storedBoard(desk.store)).toEqual({ notes: { 'n1:text': 'three' } })
      expect(bea.board()).toEqual(storedBoard(desk.store))
    }
  })

  it('[S6] a refusal arrives before the restored value', () => {
    const desk = syncDesk()
    const m = desk.phone('mechanic', 'bea')
    m.set('cars', 'c1:driver', 'dan')
    const order: string[] = []
    m.doc.on('update', (_u: Uint8Array, origin: unknown) => {
      if (origin === m) order.push(`value after ${m.rejections.length} refusals`)
    })
    desk.endTurn()
    expect(order).toEqual(['value after 1 refusals'])
  })

  it('[S6] a server edit that does not fit leaves nothing behind and says why', async () => {
    const desk = syncDesk()
    const a = desk.phone('manager', 'ann')
    const tooHeavy = desk.server.editAsServer('meeting-m1', (d) => {
      d.getMap('notes').set('n1:text', 'half')
      d.getMap('cars').set('c1:weight', 9e9)
    })
    const thrown = desk.server.editAsServer('meeting-m1', (d) => {
      d.getMap('notes').set('n2:text', 'half')
      throw new Error('changed my mind')
    })
    const good = desk.server.editAsServer('meeting-m1', (d) => void d.getMap('cars').set('c1:weight', 1500))
    desk.endTurn()
    await expect(tooHeavy).rejects.toThrow('does not fit')
    await expect(thrown).rejects.toThrow('changed my mind')
    await good
    expect(a.board()).toEqual({ cars: { 'c1:weight': 1500 } })
    expect(desk.history().map((h) => [h.personId, h.outcome, h.after])).toEqual([
      ['server', 'accepted', 1500],
    ])
    await expect(desk.server.editAsServer('no such room', () => undefined)).rejects.toThrow('no room')
  })
})
