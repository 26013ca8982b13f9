import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import fc from '../../support/fast-check'
import { afterEach, beforeEach, expect, test } from 'vitest'
import * as Y from 'yjs'
import { FactsCache } from '@/app/season/facts-cache'
import type { SeasonAnswer, SeasonNews, SeasonQuestion } from '@/app/season/season-messages'
import { SeasonWork } from '@/app/season/season-work'
import { applyStored } from '@/app/sync/idb-rows'
import { IdbStore, type Doorbell } from '@/app/sync/idb-store'
import { exportDoc, writeField } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { meetingIdOf, seasonKit, seasonMeeting, type SeasonSize } from '../../support/season-docs'

const SIZE: SeasonSize = { cars: 4, packs: 6, tracks: 2, meetings: 3, runs: 24 }
const room = (n: number) => `meeting-${meetingIdOf(n)}`
const LIFE = { life: 'g1', clientId: 1 }

/** Bells between the tabs of one device. */
function bells() {
  const all = new Set<{ room: string; hear: () => void; owner: object }>()
  return (): Doorbell => {
    const owner = {}
    return {
      ring: (name) => [...all].filter((b) => b.room === name && b.owner !== owner).forEach((b) => b.hear()),
      onRing(name, hear) {
        const bell = { room: name, hear, owner }
        all.add(bell)
        return () => all.delete(bell)
      },
      close: () => undefined,
    }
  }
}

const opened: IdbStore[] = []
beforeEach(() => void (globalThis.indexedDB = new IDBFactory()))
afterEach(() => opened.splice(0).forEach((s) => s.close()))

/** A device that stores the kit and some of the meetings, and a server that has them all. */
async function device(stored: readonly number[], size = SIZE) {
  const bell = bells()
  const open = () => {
    const store = new IdbStore({ doorbell: bell() })
    opened.push(store)
    return store
  }
  const page = open()
  const docs = new Map([['kit', seasonKit(size)]])
  for (let n = 0; n < size.meetings; n++) docs.set(room(n), seasonMeeting(size, n))
  const put = (name: string) => page.append(name, Y.encodeStateAsUpdate(docs.get(name)!), [], LIFE)
  put('kit')
  for (const n of stored) put(room(n))
  await page.settled()
  const server = new Map([...docs].map(([name, doc]) => [name, Y.encodeStateAsUpdate(doc)]))
  /** An edit on another page of the device. */
  const edit = async (name: string, collection: string, id: string, field: string, value: Json) => {
    const doc = docs.get(name)!
    const before = Y.encodeStateVector(doc)
    writeField(doc, collection, id, field, value)
    page.append(name, Y.encodeStateAsUpdate(doc, before), [{ key: 'k', token: 't:1' }], LIFE)
    await page.settled()
  }
  return { page, open, docs, server, edit }
}
type Device = Awaited<ReturnType<typeof device>>

function season({ open, server }: Device, today = Date.UTC(2027, 0, 1)) {
  const news: SeasonNews[] = []
  const fetched: string[] = []
  let waiting: (() => void) | null = null
  const work = new SeasonWork({
    store: open(),
    cache: new FactsCache(),
    fetch: (name) => {
      fetched.push(name)
      const update = server.get(name)
      const doc = new Y.Doc()
      if (update) Y.applyUpdate(doc, update)
      return {
        done: Promise.resolve(update ? { doc, generation: 'g1' } : ('gone' as const)),
        stop: () => undefined,
      }
    },
    tell: (n) => void news.push(n),
    now: () => 0,
    date: () => today,
    soon: (run) => void (waiting = run),
    pause: () => Promise.resolve(),
  })
  /** All that the bells brought is taken in. */
  const settled = async () => {
    await work.settled()
    for (let run = waiting; run; run = waiting) {
      waiting = null
      run()
      await work.settled()
    }
  }
  let n = 0
  const ask = async (part: Partial<SeasonQuestion> = {}): Promise<SeasonAnswer> => {
    n++
    work.take({ kind: 'ask', n, question: { ...EVERYTHING, ...part } })
    await settled()
    const answer = news.findLast((x) => x.kind === 'answer' && x.n === n)
    if (answer?.kind !== 'answer') throw new Error('no answer')
    return answer.answer
  }
  const meetings = () => {
    const told = news.findLast((x) => x.kind === 'meetings')
    return told?.kind === 'meetings' ? told.meetings : []
  }
  return { work, news, fetched, settled, ask, meetings }
}
const EVERYTHING: SeasonQuestion = { filter: {}, search: '', side: 'car', most: 1000, pair: [null, null] }

test('what the device stores is there without network, and what it does not is said to be away', async () => {
  const s = season(await device([0, 2]))
  const { known, found, rows, groups } = await s.ask()
  expect([known, found, rows.length]).toEqual([16, 16, 16])
  expect(groups.map((g) => [g.label, g.runs])).toEqual([
    ['Car 01', 4],
    ['Car 02', 4],
    ['Car 03', 4],
    ['Car 04', 4],
  ])
  expect(s.meetings().map((m) => [m.name, m.place, m.runIds.length])).toEqual([
    ['Meeting 01', 'stored', 8],
    ['Meeting 02', 'away', 0],
    ['Meeting 03', 'stored', 8],
  ])
  expect(s.fetched).toEqual([])
})

test('with network the rest is fetched, and stored only when it is to be kept', async () => {
  const d = await device([0])
  const s = season(d)
  s.work.take({ kind: 'line', isOnline: true })
  expect((await s.ask()).known).toBe(24)
  expect(s.fetched).toEqual([room(2), room(1)])
  expect(s.meetings().map((m) => m.place)).toEqual(['stored', 'held', 'held'])
  expect((await d.page.read(room(1), 0)).updates).toEqual([])

  s.work.take({ kind: 'keep', meetingId: meetingIdOf(1) })
  await s.settled()
  expect(s.meetings().map((m) => m.place)).toEqual(['stored', 'stored', 'held'])
  const { updates, pending, life, own } = await d.page.read(room(1), 0)
  expect({ pending, life, own }).toEqual({ pending: [], life: 'g1', own: [] })
  const doc = new Y.Doc()
  for (const row of updates) applyStored(doc, row, 'test')
  expect(exportDoc('meeting', doc)).toEqual(exportDoc('meeting', d.docs.get(room(1))!))
  expect((await season(d).ask()).known).toBe(16)
})

test('a meeting that the server does not have is gone, and the others come all the same', async () => {
  const d = await device([])
  d.server.delete(room(2))
  const s = season(d)
  s.work.take({ kind: 'line', isOnline: true })
  expect((await s.ask()).known).toBe(16)
  expect(s.meetings().map((m) => m.place)).toEqual(['held', 'held', 'gone'])
})

test('a search finds by words, values, names, notes and tracks, with what was found', async () => {
  const d = await device([0, 1])
  await d.edit(room(1), 'runs', 'run3', 'driverWords', {
    v: 'Loose on entry at the pond',
    by: 'x',
    at: 1_700_000_000_000,
  })
  const s = season(d)
  const { rows } = await s.ask({ search: 'loose entry pond' })
  expect(rows.map((r) => [r.meetingId, r.runId, r.texts[0]])).toEqual([
    [meetingIdOf(1), 'run3', '“Loose on entry at the pond”'],
  ])
  expect((await s.ask({ search: 'pond', filter: { car: 'car0' } })).found).toBe(0)
  expect((await s.ask({ search: 'Car 02' })).found).toBe(4)
  expect((await s.ask({ search: 'bring water day 2' })).found).toBe(8)
  expect((await s.ask({ search: 'dusty dirt' })).found).toBe(8)
})

test('two runs of two cars beside each other', async () => {
  const s = season(await device([0, 1]))
  const pair = [`${meetingIdOf(0)}/run0`, `${meetingIdOf(1)}/run1`] as const
  const one = await s.ask({ pair: [pair[0], null] })
  expect([one.first?.car, one.pair]).toEqual(['Car 01', null])
  const { pair: both } = await s.ask({ pair })
  expect([both?.a.car, both?.b.car, both?.isOneTrack]).toEqual(['Car 01', 'Car 02', false])
  expect(both?.figures.find((f) => f.id === 'laps')).toEqual({ id: 'laps', a: 14, b: 14 })
  const tires = both?.differences?.find((x) => x.parameterId === 'tires')
  expect(tires).toMatchObject({ was: 'T01', now: 'T02' })
})

test('choices are counted among runs that have the rest of the filter', async () => {
  const s = season(await device([0, 1, 2]))
  const { choices, found } = await s.ask({ filter: { car: 'car1', track: 'track0' } })
  expect(found).toBe(4)
  expect(choices.car.map((c) => c.runs)).toEqual([4, 4, 4, 4])
  expect(choices.track.map((c) => [c.label, c.runs])).toEqual([
    ['Track 01', 4],
    ['Track 02', 2],
  ])
})

test('what was worked out once is not worked out again, until its meeting changes', async () => {
  const d = await device([0, 1])
  const first = season(d)
  const before = await first.ask()
  await first.settled()
  // Read off the cache: what is kept there is told, right or wrong.
  const cache = new FactsCache()
  const kept = await cache.all()
  expect([...kept.keys()].sort()).toEqual([room(0), room(1)])
  const own = kept.get(room(0))!
  await cache.keep(
    [
      {
        room: room(0),
        print: own.print,
        bytes: 1,
        facts: { name: null, startsAt: null, zone: null, trackId: null, runs: [], columns: {} },
      },
    ],
    [],
  )
  expect((await season(d).ask()).known).toBe(8)
  await d.edit(room(0), 'runs', 'run0', 'driverWords', { v: 'Changed', by: 'x', at: 1_700_000_000_000 })
  const after = season(d)
  expect((await after.ask()).rows).toEqual(before.rows)
  expect((await after.ask({ search: 'changed' })).found).toBe(1)
})

test('a meeting that is removed and brought back on another page is there again, with its runs', async () => {
  const d = await device([0, 1])
  const s = season(d)
  expect((await s.ask()).known).toBe(16)
  await d.edit('kit', 'meetings', meetingIdOf(0), 'removed', true)
  await s.settled()
  expect((await s.ask()).known).toBe(8)
  await d.edit('kit', 'meetings', meetingIdOf(0), 'removed', false)
  await s.settled()
  expect((await s.ask()).known).toBe(16)
})

test('after any edits on another page the season is what one read from nothing is', async () => {
  const target = fc.record({
    n: fc.integer({ min: 0, max: 2 }),
    run: fc.integer({ min: 0, max: 7 }),
    what: fc.constantFrom('words', 'result', 'charge', 'remove', 'car', 'meeting', 'pack'),
    size: fc.integer({ min: 1, max: 5 }),
  })
  await fc.assert(
    fc.asyncProperty(fc.array(target, { minLength: 1, maxLength: 8 }), async (edits) => {
      globalThis.indexedDB = new IDBFactory()
      const d = await device([0, 1, 2])
      const s = season(d)
      await s.ask()
      for (const { n, run, what, size } of edits) {
        const stamp = (v: Json): Json => ({ v, by: 'driver0', at: 1_000_000_000_000 + size })
        const id = `run${run}`
        if (what === 'words') await d.edit(room(n), 'runs', id, 'driverWords', stamp(`Word${size} again`))
        if (what === 'result')
          await d.edit(room(n), 'runs', id, 'result', stamp({ laps: 10 + size, seconds: 300 }))
        if (what === 'charge') await d.edit(room(n), 'runs', id, 'chargeBackMah', stamp(2000 + size))
        if (what === 'remove') await d.edit(room(n), 'entries', id, 'removed', size > 2)
        if (what === 'car') await d.edit('kit', 'cars', `car${run % 4}`, 'name', `Renamed ${size}`)
        if (what === 'meeting') await d.edit('kit', 'meetings', meetingIdOf(n), 'removed', size > 2)
        if (what === 'pack') await d.edit('kit', 'packs', 'pack0', 'cycles', size)
        if (size === 3) await s.settled()
      }
      const fresh = season(d)
      for (const part of [{}, { search: 'word3 again' }, { search: 'renamed' }, { side: 'meeting' as const }])
        expect(await s.ask(part)).toEqual(await fresh.ask(part))
      opened.splice(0).forEach((x) => x.close())
    }),
    {
      numRuns: 25,
      examples: [
        [
          [
            { n: 0, run: 0, what: 'meeting', size: 3 },
            { n: 0, run: 0, what: 'meeting', size: 1 },
          ],
        ],
      ],
    },
  )
}, 120_000)

test('a meeting that may be under way is fetched again whenever the screen comes back, stored or not; others’ edits come with it', async () => {
  const d = await device([0, 1])
  const s = season(d, Date.UTC(2026, 2, 22))
  const look = async () => {
    s.work.take({ kind: 'line', isOnline: true })
    return (await s.ask({ search: 'from elsewhere' })).found
  }
  expect(await look()).toBe(0)
  expect(s.fetched).toEqual([room(2)])
  for (const n of [0, 1, 2]) {
    const doc = d.docs.get(room(n))!
    writeField(doc, 'runs', 'run0', 'driverWords', { v: 'From elsewhere', by: 'x', at: 1_700_000_000_000 })
    d.server.set(room(n), Y.encodeStateAsUpdate(doc))
  }
  // The last is a day old, the others a week or more.
  expect(await look()).toBe(1)
  const later = season(d, Date.UTC(2026, 2, 16))
  later.work.take({ kind: 'line', isOnline: true })
  expect((await later.ask({ search: 'from elsewhere' })).found).toBe(2)
  expect(later.meetings().map((m) => m.place)).toEqual(['stored', 'stored', 'held'])
})

test('what a page stored without a bell is taken in when the screen comes back', async () => {
  const d = await device([0])
  const s = season(d)
  expect((await s.ask({ search: 'quietly' })).found).toBe(0)
  const doc = d.docs.get(room(0))!
  const before = Y.encodeStateVector(doc)
  writeField(doc, 'runs', 'run0', 'driverWords', { v: 'Quietly', by: 'x', at: 1_700_000_000_000 })
  d.page.append(room(0), Y.encodeStateAsUpdate(doc, before), [], LIFE)
  await d.page.settled()
  expect((await s.ask({ search: 'quietly' })).found).toBe(0)
  s.work.take({ kind: 'line', isOnline: true })
  expect((await s.ask({ search: 'quietly' })).found).toBe(1)
})

test('a restored board’s rooms are read anew', async () => {
  const d = await device([0])
  const s = season(d)
  expect((await s.ask()).known).toBe(8)
  await d.edit(room(0), 'runs', 'run0', 'driverWords', { v: 'Before', by: 'x', at: 1_700_000_000_000 })
  expect((await s.ask({ search: 'before' })).found).toBe(1)
  const restored = Y.encodeStateAsUpdateV2(seasonMeeting({ ...SIZE, runs: 12 }, 0))
  await d.page.move(room(0), 'g1', 'g2', () => ({ update: restored, pending: [], own: [], drafts: [] }))
  expect((await s.ask()).known).toBe(4)
  expect((await s.ask({ search: 'before' })).found).toBe(0)
})
