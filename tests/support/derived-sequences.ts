import fc from './fast-check'
import { equalityDeep } from 'lib0/function'
import * as Y from 'yjs'
import { buildDemo } from '@/demo/seed'
import { BoardReading, exportDoc, parseKey, writeField, type DocKind } from '@/lib/board'
import * as card from '@/lib/card'
import type { Json } from '@/lib/core/json'
import { BoardGraph, frozenBoard, isFact, type Board } from '@/lib/derived'

const NOW = Date.UTC(2026, 8, 12, 11, 4, 31)
/** ms */
const STEPS = [1000, 5000, 60_000, 1_200_000, 7_200_000]

type Fact = (board: Board, ...key: string[]) => unknown
type Keys = (ids: { cars: string[]; runs: string[]; classes: string[] }) => string[][]
const once: Keys = () => [[]]
const perCar: Keys = ({ cars }) => cars.map((id) => [id])
const perClass: Keys = ({ classes }) => classes.map((id) => [id])
const perRun: Keys = ({ runs }) => runs.map((id) => [id])
const perCarAndRun: Keys = ({ cars, runs }) =>
  cars.flatMap((car, i) => [
    [car, ''],
    [car, runs[i] ?? ''],
  ])
/** What each fact is asked about. */
const KEYS: Record<string, Keys> = {
  cardGround: perCarAndRun,
  cardGroups: perCar,
  cardRows: perCar,
  carStory: perCar,
  dayDrift: once,
  dayHeatsNow: once,
  dutiesNow: once,
  dayStateNow: once,
  stampingNow: once,
  standingsNow: perClass,
  factsNow: perRun,
  followUpsOf: perCar,
  frozenGround: perRun,
  forecastNow: once,
  heatsInOrder: once,
  looseEndsNow: once,
  nextRunNow: perCar,
  planWatchNow: once,
  runNow: perRun,
  runsNow: once,
  ticketNow: perCar,
}
/** Every fact that `lib/card` has. @throws when one is asked about nothing, or one that is asked about is gone */
export function allFacts(): { name: string; fact: Fact; keys: Keys }[] {
  const found = new Map(Object.entries(card).filter(([, fact]) => isFact(fact)))
  for (const name of Object.keys(KEYS)) if (!found.has(name)) throw new Error(`There is no fact ${name}`)
  return Object.entries(card).flatMap(([name, fact]) => {
    if (!isFact(fact)) return []
    const keys = KEYS[name]
    if (!keys) throw new Error(`The fact ${name} is not compared with a board derived from nothing`)
    return [{ name, fact, keys }]
  })
}

interface Slot {
  doc: DocKind
  collection: string
  field: string
  ids: string[]
  values: Json[]
}
const demo = buildDemo(NOW)
const kit = Y.encodeStateAsUpdate(demo.kit)
const meeting = Y.encodeStateAsUpdate(demo.today)

/** Every field that the demo's boards hold anywhere, with the records that have it and the values that it has. */
function slotsOf(): Slot[][] {
  const slots = new Map<string, Slot>()
  for (const [doc, y] of [
    ['kit', demo.kit],
    ['meeting', demo.today],
    ['meeting', demo.earlier],
  ] as const)
    for (const [collection, fields] of Object.entries(exportDoc(doc, y)))
      for (const [key, value] of Object.entries(fields)) {
        const at = parseKey(key)
        if (!at) continue
        const name = `${collection}.${at.field}`
        const slot = slots.get(name) ?? { doc, collection, field: at.field, ids: [], values: [] }
        slots.set(name, slot)
        if (y !== demo.earlier) slot.ids.push(at.recordId)
        slot.values.push(value)
      }
  const byCollection = new Map<string, Slot[]>()
  for (const slot of slots.values())
    if (slot.ids.length)
      byCollection.set(slot.collection, [...(byCollection.get(slot.collection) ?? []), slot])
  return [...byCollection.values()]
}
const SLOTS = slotsOf()

const at = <T>(list: readonly T[], n: number): T => list[n % list.length] as T
const nat = fc.nat(10_000)
const where = fc.record({ collection: nat, field: nat, record: nat })
const step = fc.oneof(
  { weight: 8, arbitrary: fc.record({ do: fc.constant('write' as const), where, value: nat }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('empty' as const), where }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('damage' as const), where }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('remove' as const), where, value: nat }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('create' as const), where, value: nat }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('wait' as const), value: nat }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('watch' as const), fact: nat, key: nat }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('stop' as const), fact: nat }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('ask' as const), fact: nat, key: nat }) },
  { weight: 4, arbitrary: fc.record({ do: fc.constant('refresh' as const) }) },
)
type Step = typeof step extends fc.Arbitrary<infer T> ? T : never

interface Watch {
  name: string
  fact: Fact
  key: string[]
  seen: unknown
  stop: () => void
}

/** Plays one sequence. @throws with the fact's name where the graph and a board derived from nothing differ */
function play(steps: readonly Step[]): void {
  const docs = { kit: new Y.Doc(), meeting: new Y.Doc() }
  Y.applyUpdate(docs.kit, kit)
  Y.applyUpdate(docs.meeting, meeting)
  const reading = new BoardReading(docs)
  let now = NOW
  const graph = new BoardGraph(() => reading.view(), { now: () => now })
  const facts = allFacts()
  const watches: Watch[] = []
  const ids = () => ({
    cars: [...reading.view().cars.all.keys()],
    classes: [...reading.view().classes.all.keys(), 'none'],
    runs: [...reading.view().entries.all.values()].flatMap((e) => (e.carId ? [e.id] : [])).slice(0, 30),
  })
  const slotOf = ({ collection, field }: { collection: number; field: number }) =>
    at(at(SLOTS, collection), field)
  const write = (s: Slot, id: string, value: Json, field = s.field) =>
    writeField(docs[s.doc], s.collection, id, field, value)
  const same = (name: string, key: readonly string[], got: unknown, wanted: unknown) => {
    if (!equalityDeep(got, wanted))
      throw new Error(
        `${name}(${key.join(', ')}) says ${JSON.stringify(got)}, and from nothing ${JSON.stringify(wanted)}`,
      )
  }
  const compare = (isAll: boolean) => {
    graph.refresh()
    const fresh = frozenBoard(new BoardReading(docs).view(), now)
    for (const w of watches) same(`watched ${w.name}`, w.key, w.seen, w.fact(fresh, ...w.key))
    if (!isAll) return
    for (const { name, fact, keys } of facts)
      for (const key of keys(ids()))
        same(
          name,
          key,
          graph.ask((board) => fact(board, ...key)),
          fact(fresh, ...key),
        )
  }
  steps.forEach((s, i) => {
    switch (s.do) {
      case 'write':
        return write(
          slotOf(s.where),
          at(slotOf(s.where).ids, s.where.record),
          at(slotOf(s.where).values, s.value),
        )
      case 'empty':
        return write(slotOf(s.where), at(slotOf(s.where).ids, s.where.record), null)
      case 'damage':
        return write(slotOf(s.where), at(slotOf(s.where).ids, s.where.record), { not: 'valid' })
      case 'remove':
        return write(slotOf(s.where), at(slotOf(s.where).ids, s.where.record), s.value % 3 > 0, 'removed')
      case 'create':
        return write(slotOf(s.where), `new-${i % 3}`, at(slotOf(s.where).values, s.value))
      case 'wait':
        return void (now += at(STEPS, s.value))
      case 'watch': {
        const { name, fact, keys } = at(facts, s.fact)
        const key = at(keys(ids()), s.key)
        const cell = graph.cell((board) => fact(board, ...key))
        graph.refresh()
        const w: Watch = { name, fact, key, seen: cell.read(), stop: () => undefined }
        w.stop = cell.subscribe(() => (w.seen = cell.read()))
        return void watches.push(w)
      }
      case 'stop':
        return watches.splice(s.fact % (watches.length + 1), 1).forEach((w) => w.stop())
      case 'ask': {
        const { fact, keys } = at(facts, s.fact)
        return void graph.ask((board) => fact(board, ...at(keys(ids()), s.key)))
      }
      case 'refresh':
        return compare(false)
    }
  })
  compare(true)
  reading.close()
}

/** Random edits in random order, some facts watched, some asked for, some not: the graph says what a board derived from nothing says. */
export function checkSequences(sequences: number, seed?: number): void {
  fc.assert(
    fc.property(fc.array(step, { minLength: 5, maxLength: 40 }), (steps) => play(steps)),
    { numRuns: sequences, ...(seed !== undefined && { seed }) },
  )
}
