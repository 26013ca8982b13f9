import 'fake-indexeddb/auto'
import { deleteDB } from 'idb'
import { afterEach, describe, expect, it } from 'vitest'
import { refuse } from '@/lib/core/result'
import { hashOf } from '@/app/photos/hash-of'
import {
  isWaiting,
  KEPT,
  PhotoShelf,
  type Bell,
  type Line,
  type Outgoing,
  type Sent,
} from '@/app/photos/photo-shelf'

const REFUSED = refuse('Photo', '', 'no', 'no').error
const picture = (hash: string) => ({ hash, type: 'image/jpeg', data: new Uint8Array([1, 2, 3]).buffer })
const whose = { meetingId: 'm', runId: 'r' }
const named = (n: number) => {
  const data = new TextEncoder().encode(`picture ${n}`)
  return { hash: hashOf(data), blob: new Blob([data], { type: 'image/jpeg' }) }
}

let count = 0
const open: PhotoShelf[] = []
function shelfWith(over: Partial<Line> = {}, t: { name?: string; bell?: Bell } = {}) {
  const sent: Outgoing[] = []
  const name = t.name ?? `shelf-${count++}`
  const line: Line = {
    send: (o) => {
      sent.push(o)
      return Promise.resolve({ state: 'stored' })
    },
    fetch: () => Promise.resolve('missing'),
    ...over,
  }
  let now = 0
  const shelf = new PhotoShelf({ line, now: () => ++now, name, ...(t.bell ? { bell: t.bell } : {}) })
  open.push(shelf)
  const add = (...hashes: string[]) => shelf.add(whose, hashes[0] ?? '', hashes.map(picture))
  return { shelf, sent, name, add }
}
afterEach(() => Promise.all(open.splice(0).map((s) => s.close())))

describe('photos on a phone', () => {
  it('wait for the line and are sent once, oldest first', async () => {
    let up = false
    const tried: string[] = []
    const { shelf, add } = shelfWith({
      send: ({ hash }): Promise<Sent> => {
        tried.push(hash)
        return Promise.resolve({ state: up ? 'stored' : 'down' })
      },
    })
    await add('a')
    await add('b')
    await shelf.flush('one')
    expect(tried).toEqual(['a'])
    up = true
    await shelf.flush('one')
    await shelf.flush('one')
    expect(tried).toEqual(['a', 'a', 'b'])
    expect((await shelf.outgoing()).map((o) => o.sent)).toEqual(['one', 'one'])
  })

  it('whose run is not on the server yet let others pass, and go later', async () => {
    let isThere = false
    const tried: string[] = []
    const { shelf, add } = shelfWith({
      send: ({ hash }): Promise<Sent> => {
        tried.push(hash)
        return Promise.resolve({ state: hash === 'a' && !isThere ? 'later' : 'stored' })
      },
    })
    await add('a')
    await add('b')
    await shelf.flush('one')
    isThere = true
    await shelf.flush('one')
    expect(tried).toEqual(['a', 'b', 'a'])
  })

  it('outlive the page that took them', async () => {
    const first = shelfWith({ send: () => Promise.resolve({ state: 'down' }) })
    await first.add('a')
    await first.shelf.close()
    const second = shelfWith({}, { name: first.name })
    await second.shelf.flush('one')
    expect(second.sent.map((o) => o.hash)).toEqual(['a'])
  })

  it('[S23] go to a restored board again, which may not have them', async () => {
    const { shelf, sent, add } = shelfWith()
    await add('a')
    await shelf.flush('one')
    expect((await shelf.outgoing()).map((o) => [isWaiting(o, 'one'), isWaiting(o, 'two')])).toEqual([
      [false, true],
    ])
    await shelf.flush('two')
    expect(sent).toHaveLength(2)
  })

  it('that are refused say why, hold nothing up, and are not sent again', async () => {
    const tried: string[] = []
    const { shelf, add } = shelfWith({
      send: ({ hash }): Promise<Sent> => {
        tried.push(hash)
        return Promise.resolve(hash === 'a' ? { state: 'refused', why: REFUSED } : { state: 'stored' })
      },
    })
    await add('a', 'b')
    await shelf.flush('one')
    await shelf.flush('one')
    await shelf.flush('two')
    expect(tried).toEqual(['a', 'b', 'b'])
    expect((await shelf.outgoing()).map((o) => o.refused)).toEqual([REFUSED, null])
  })

  it('that were refused are sent again when they are added again', async () => {
    let answer: Sent = { state: 'refused', why: REFUSED }
    const { shelf, add } = shelfWith({ send: () => Promise.resolve(answer) })
    await add('a')
    await shelf.flush('one')
    answer = { state: 'stored' }
    expect(await add('a')).toEqual(['a'])
    await shelf.flush('one')
    expect((await shelf.outgoing()).map((o) => [o.sent, o.refused])).toEqual([['one', null]])
  })

  it('taken while others are being sent go with them', async () => {
    const sent: string[] = []
    const late: { add: (() => Promise<void>) | null } = { add: null }
    const { shelf, add } = shelfWith({
      send: async ({ hash }): Promise<Sent> => {
        sent.push(hash)
        const more = late.add
        late.add = null
        await more?.()
        return { state: 'stored' }
      },
    })
    await add('a')
    late.add = async () => {
      await add('b')
      void shelf.flush('one')
    }
    await shelf.flush('one')
    expect(sent).toEqual(['a', 'b'])
  })

  it('are shown from the phone, and fetched ones a second time without the line', async () => {
    let up = true
    const theirs = named(1)
    const { shelf, add } = shelfWith({ fetch: () => Promise.resolve(up ? theirs.blob : 'down') })
    await add('own')
    const look = async (hash: string) => {
      const found = await shelf.picture('m', hash)
      return typeof found === 'string' ? found : new Uint8Array(await found.arrayBuffer())
    }
    expect(await look('own')).toEqual(new Uint8Array([1, 2, 3]))
    expect(await look(theirs.hash)).toEqual(new Uint8Array(await theirs.blob.arrayBuffer()))
    up = false
    await expect.poll(() => look(theirs.hash), { interval: 5 }).toBeInstanceOf(Uint8Array)
    expect(await look('unknown')).toBe('down')
  })

  it('are never what somebody else answers in their place', async () => {
    const { shelf } = shelfWith({ fetch: () => Promise.resolve(named(1).blob) })
    expect(await shelf.picture('m', named(2).hash)).toBe('down')
    expect(await shelf.picture('m', named(2).hash)).toBe('down')
  })

  it('that the server has too make room for newer ones; those that only this phone has stay', async () => {
    const theirs = new Map(Array.from({ length: KEPT + 1 }, (_, n) => [named(n).hash, named(n).blob]))
    let up = true
    const { shelf, add } = shelfWith({
      fetch: (_meeting, hash) => Promise.resolve(up ? (theirs.get(hash) ?? 'missing') : 'down'),
    })
    await add('mine')
    for (const hash of theirs.keys()) await shelf.picture('m', hash)
    up = false
    await expect.poll(() => shelf.picture('m', named(0).hash), { interval: 5 }).toBe('down')
    expect(await shelf.picture('m', named(KEPT).hash)).toBeInstanceOf(Blob)
    expect(await shelf.picture('m', 'mine')).toBeInstanceOf(Blob)
  })

  it('are gone when the board did not take them; what was there before stays', async () => {
    const { shelf, sent, add } = shelfWith()
    expect(await add('a')).toEqual(['a'])
    expect(await add('b', 'a')).toEqual(['b'])
    await shelf.drop('m', ['b'])
    await shelf.flush('one')
    expect(sent.map((o) => o.hash)).toEqual(['a'])
    expect(await shelf.picture('m', 'b')).toBe('missing')
  })

  it('tell who listens in every tab, and nobody who has stopped', async () => {
    const rings = new Set<() => void>()
    const bell: Bell = {
      ring: () => rings.forEach((ring) => ring()),
      onRing: (_room, ring) => {
        rings.add(ring)
        return () => rings.delete(ring)
      },
    }
    const here = shelfWith({}, { bell: { ...bell, onRing: () => () => undefined } })
    const there = shelfWith({}, { bell, name: here.name })
    const heard = { here: 0, there: 0 }
    const stop = here.shelf.subscribe(() => heard.here++)
    there.shelf.subscribe(() => heard.there++)
    await here.add('a')
    await here.shelf.flush('one')
    expect(heard).toEqual({ here: 2, there: 2 })
    stop()
    await here.shelf.drop('m', ['a'])
    expect(heard).toEqual({ here: 2, there: 3 })
    await there.shelf.close()
    expect(rings.size).toBe(0)
  })

  it('go on after the browser has ended the connection', async () => {
    const { name, add } = shelfWith()
    await add('a')
    await deleteDB(name)
    expect(await add('b')).toEqual(['b'])
  })

  it('that the browser has cleared away are told', async () => {
    const { shelf, name, add } = shelfWith()
    await add('a')
    const { openDB } = await import('idb')
    const db = await openDB(name)
    await db.clear('pictures')
    db.close()
    await shelf.flush('one')
    expect((await shelf.outgoing()).map((o) => o.refused?.reason)).toEqual([
      'this phone’s browser has cleared it away',
    ])
    // Added again, it is there and waits to be sent.
    expect(await add('a')).toEqual(['a'])
    expect((await shelf.outgoing()).map((o) => o.refused)).toEqual([null])
    expect(await shelf.picture('m', 'a')).toBeInstanceOf(Blob)
  })
})
