import loadHighs from 'highs'
import { beforeAll, describe, expect, test } from 'vitest'
import * as Y from 'yjs'
import { buildDemo, DEMO_MEETING_ID, seedDemo, type DemoBoards } from '@/demo/seed'
import { DEMO_LINKS, DEMO_PEOPLE, DEMO_ROSTER } from '@/demo/roster'
import {
  BoardReading,
  checkField,
  COLLECTIONS,
  exportDoc,
  idSchema,
  parseKey,
  writeField,
  writeStarterKit,
  type BoardView,
  type DocKind,
} from '@/lib/board'
import { acceptState, factsOf, looseEnds, planInput, runsOf, watchPlan } from '@/lib/card'
import { canonicalJson, type Json } from '@/lib/core/json'
import { highsSolver, replanGoals, solveChargePlan, type MilpSolver } from '@/lib/planner'

const NOW = Date.UTC(2026, 8, 12, 11, 4, 31)
const MINUTE = 60_000

let boards: DemoBoards
let view: BoardView
let earlier: BoardView
let solver: MilpSolver
beforeAll(async () => {
  solver = highsSolver(await loadHighs())
  boards = buildDemo(NOW)
  view = new BoardReading({ kit: boards.kit, meeting: boards.today }).view()
  earlier = new BoardReading({ kit: boards.kit, meeting: boards.earlier }).view()
})

interface StoredField {
  kind: DocKind
  collection: string
  recordId: string
  field: string
  value: Json
}
function storedFields(): StoredField[] {
  const of = (kind: DocKind, doc: Y.Doc) =>
    Object.entries(exportDoc(kind, doc)).flatMap(([collection, fields]) =>
      Object.entries(fields).map(([key, value]) => ({ kind, collection, value, ...parseKey(key)! })),
    )
  return [...of('kit', boards.kit), ...of('meeting', boards.today), ...of('meeting', boards.earlier)]
}

describe('every record', () => {
  test('parses by its schema, and nothing is damaged', () => {
    const refused = storedFields().filter((f) => !checkField(f.kind, f.collection, f.field, f.value).ok)
    expect(refused).toEqual([])
    expect(storedFields().length).toBeGreaterThan(4000)
    expect([...view.damaged, ...earlier.damaged]).toEqual([])
  })

  test('signed values are signed by the crew, in the past', () => {
    const crew = new Set<string>(DEMO_PEOPLE.map((p) => p.id))
    const signs = storedFields().filter(
      (f): f is StoredField & { value: { by: string; at: number } } =>
        typeof f.value === 'object' && f.value !== null && !Array.isArray(f.value) && 'by' in f.value,
    )
    expect(signs.length).toBeGreaterThan(2000)
    expect(signs.filter((f) => !crew.has(f.value.by))).toEqual([])
    expect(signs.filter((f) => f.value.at > NOW)).toEqual([])
  })

  test('names only records that are there', () => {
    // Fields that hold an id, and the collection they point into.
    const targets: Record<string, string> = {
      driverId: 'people',
      mechanicId: 'people',
      personId: 'people',
      motorId: 'motors',
      controllerId: 'controllers',
      supplyId: 'supplies',
      onCarId: 'cars',
      carId: 'cars',
      checklistId: 'checklists',
      trackId: 'tracks',
      copiedFrom: 'meetings',
      roundId: 'rounds',
      classId: 'classes',
      wordId: 'handlingWords',
      heatId: 'heats',
      ruleSheetId: 'ruleSheets',
      packId: 'packs',
      packIn: 'packs',
      tireSetId: 'tireSets',
      tiresOn: 'tireSets',
      runId: 'runs',
      chargerId: 'chargers',
    }
    const known = (name: string, id: string) =>
      [view, earlier].some((v) => v[name as 'packs'].get(id) !== undefined)
    const lost: string[] = []
    let seen = 0
    for (const f of storedFields()) {
      const defs = COLLECTIONS[f.kind] as Record<string, { fields: Record<string, { schema: unknown }> }>
      const isRef = defs[f.collection]?.fields[f.field]?.schema === idSchema
      const stamped = f.collection === 'runs' && f.field in targets
      if (!isRef && !stamped) continue
      const id = stamped ? (f.value as { v: string }).v : (f.value as string | null)
      seen += 1
      // A tire set that was taken off is on no car.
      if (id === null) continue
      const target = targets[f.field]
      if (!target || !known(target, id)) lost.push(`${f.collection} ${f.recordId} ${f.field} ${id}`)
    }
    expect(seen).toBeGreaterThan(500)
    expect(lost).toEqual([])
    for (const v of [view, earlier]) {
      for (const value of v.cardValues.live) expect(v.cars.get(value.id.split('.')[0])).toBeDefined()
      for (const run of v.runs.live) expect(v.entries.get(run.id)?.carId).toBeDefined()
    }
  })
})

test('equal times give equal boards', () => {
  const text = (b: DemoBoards) =>
    canonicalJson([exportDoc('kit', b.kit), exportDoc('meeting', b.today), exportDoc('meeting', b.earlier)])
  expect(text(buildDemo(NOW))).toBe(text(boards))
})

describe('the roster', () => {
  test('is what the running order holds for the team', () => {
    for (const r of DEMO_ROSTER) {
      expect(r.transponder).toMatch(/^\d{7}$/)
      const entries = view.entries.live.filter((e) => e.carId === r.carId)
      expect(entries.map((e) => e.heatId?.slice(0, 2)).sort(), r.car).toEqual(['q1', 'q2', 'q3'])
      for (const e of entries) {
        expect(e).toMatchObject({
          driverName: r.driver,
          carNumber: r.carNumber,
          transponder: r.transponder,
        })
        expect(view.classes.get(view.heats.get(e.heatId)?.classId)?.name).toBe(r.class)
      }
    }
  })
  test('nobody is entered twice in a heat or under another’s transponder', () => {
    for (const heat of view.heats.live) {
      const entries = view.entries.live.filter((e) => e.heatId === heat.id)
      for (const field of ['driverName', 'carNumber', 'transponder', 'gridPosition'] as const)
        expect(new Set(entries.map((e) => e[field])).size, `${heat.id} ${field}`).toBe(entries.length)
    }
  })
  test('the printed links join people of the crew in their roles', () => {
    for (const [role, id] of Object.entries(DEMO_LINKS))
      expect(DEMO_PEOPLE.find((p) => p.id === id)?.role).toBe(role)
  })
})

describe('the kit is plausible', () => {
  // Common practice, no source: an electric 1/10 off-road car does 12 to 25 m/s; its gears mesh within the motor mount's slot.
  test('top speeds and gear meshes', () => {
    for (const car of view.cars.live) {
      const value = (p: string) => view.cardValues.get(`${car.id}.${p}`)?.fitted?.v as number
      const kv = view.motors.get(car.motorId)!.kvRpmPerVolt!
      const finalDrive = (value('spur') / value('pinion')) * car.internalRatio!
      const rolloutMm = (Math.PI * value('tireDiameter')) / finalDrive
      const speed = ((kv * 7.4) / 60) * (rolloutMm / 1000)
      expect(speed, car.name).toBeGreaterThan(12)
      expect(speed, car.name).toBeLessThan(25)
      const centres = (car.gearModuleMm! * (value('pinion') + value('spur'))) / 2
      expect(centres, car.name).toBeGreaterThan(car.slotMinMm!)
      expect(centres, car.name).toBeLessThan(car.slotMaxMm!)
      const limit = view.ruleSheets.get(`saltmarsh-${car.drive}`)!.minimumWeightG!
      expect(car.weightG, car.name).toBeGreaterThanOrEqual(limit)
    }
  })
  test('two makes of speed control name the same quantities in their own ways', () => {
    const lists = view.controllers.live.map((c) =>
      view.controllerParameters.live.filter((p) => p.controllerId === c.id),
    )
    expect(lists).toHaveLength(2)
    const [a, b] = lists as [(typeof lists)[0], (typeof lists)[0]]
    const labels = new Set(a.map((p) => p.label))
    const shared = a.filter((p) => p.quantity !== 'none' && b.some((q) => q.quantity === p.quantity))
    expect(shared.length).toBeGreaterThan(10)
    expect(b.filter((p) => labels.has(p.label))).toEqual([])
    const delay = view.controllerParameters.live.filter((p) => p.quantity === 'turboDelay')
    // The same wait in either make's own unit.
    expect(delay.map((p) => [p.unit, p.scale])).toEqual(
      expect.arrayContaining([
        ['s', 1],
        ['ms', 0.001],
      ]),
    )
  })
  test('no channel charges two packs at once, and no pack charges before its run has ended', () => {
    const charges = view.charges.live
    expect(charges.length).toBeGreaterThan(15)
    for (const a of charges) {
      const overlaps = charges.filter(
        (b) =>
          b.id !== a.id &&
          b.plannedStart! < a.plannedEnd! &&
          a.plannedStart! < b.plannedEnd! &&
          (b.packId === a.packId || (b.chargerId === a.chargerId && b.channel === a.channel)),
      )
      expect(overlaps, a.id).toEqual([])
      for (const r of runsOf(view, NOW))
        if (r.run?.record?.v?.packId === a.packId && r.state === 'finished')
          expect(
            a.plannedEnd! <= r.startAt! || a.plannedStart! >= r.heat.finishedAt!.v!,
            `${a.id} against ${r.runId}`,
          ).toBe(true)
    }
  })
})

describe('the demo opens in the middle of the second round', () => {
  test('the first round ran late, each run with its record, its accept and its result', () => {
    const first = runsOf(view, NOW).filter((r) => r.heat.roundId === 'q1')
    expect(first).toHaveLength(8)
    for (const r of first) {
      expect(r.state, r.runId).toBe('finished')
      expect(r.run?.record?.v, r.runId).toMatchObject({ accepted: true, missing: [] })
      expect(Object.keys(r.run?.record?.v?.values ?? {}).length).toBeGreaterThan(50)
      expect(r.run?.result?.v?.laps, r.runId).toBeGreaterThan(10)
      expect(r.startAt! - r.heat.plannedStart!).toBeGreaterThan(30_000)
    }
    expect(earlier.runs.live.filter((r) => r.record?.v && r.result?.v)).toHaveLength(24)
  })

  test.each([0, 31_000, 59_999])('at %d ms past the minute one heat runs and the next is called', (past) => {
    const now = Math.floor(NOW / MINUTE) * MINUTE + past
    const b = buildDemo(now)
    const v = new BoardReading({ kit: b.kit, meeting: b.today }).view()
    const states = Object.fromEntries(
      runsOf(v, now)
        .filter((r) => r.heat.roundId === 'q2')
        .map((r) => [r.carId, r.state]),
    )
    expect(states).toEqual({
      wren: 'finished',
      plover: 'on-track',
      siskin: 'on-track',
      dunlin: 'called',
      kestrel: 'upcoming',
      rook: 'upcoming',
      curlew: 'upcoming',
      heron: 'upcoming',
    })
  })

  test('a part of the charge plan is taken and to come; it holds, and is a plan by the planner’s own rules', () => {
    const runs = runsOf(view, NOW)
    const planned = view.charges.live.filter((c) => !c.startedAt?.v)
    expect(planned.map((c) => c.id).sort()).toEqual(['q3-curlew', 'q3-heron', 'q3-kestrel', 'q3-rook'])
    expect(planned.filter((c) => c.plannedStart! < NOW)).toEqual([])
    expect(watchPlan(view, runs, NOW)).toEqual({ isTaken: true, troubles: [], waitingLong: 0 })
    const input = planInput(view, runs, NOW)
    const outcome = solveChargePlan({ ...input, goals: replanGoals }, solver, { timeLimitSeconds: 30 })
    if (outcome.kind !== 'planned') throw new Error(outcome.kind)
    for (const c of planned) {
      const use = outcome.plan.uses.find((u) => u.runId === c.runId)!
      expect(use.packId, c.id).toBe(c.packId)
      expect(Math.abs(use.charge!.startAt - c.plannedStart!), c.id).toBeLessThanOrEqual(10 * MINUTE)
      expect(use.charge!.endAt - use.charge!.startAt, c.id).toBe(c.plannedEnd! - c.plannedStart!)
    }
  })

  test('the called car is ready in all six facts', () => {
    const dunlin = runsOf(view, NOW).find((r) => r.runId === 'q2-dunlin')!
    expect(factsOf(view, dunlin).filter((f) => f.state !== 'yes')).toEqual([])
  })

  test('an accept is void because the card changed after it', () => {
    const kestrel = runsOf(view, NOW).find((r) => r.runId === 'q2-kestrel')!
    expect(acceptState(view, kestrel)).toBe('void')
  })

  test('each kind of loose end is there to be closed', () => {
    const ids = looseEnds(view, NOW).map((e) => e.id)
    expect(ids).toEqual(
      expect.arrayContaining([
        'value:rook:pinion',
        'read-back:rook:esc.withy-turbo-wait',
        'follow-up:heron:ride-height',
        'pack-twice:p12:q2-curlew:q2-heron',
        'pack:q3-wren:P01 is not charged',
        'pack:q3-plover:P02 is not charged',
        'pack-in:q2-rook',
        'check:q2-rook:before-staging',
        'accept:q2-kestrel',
        'accept:q2-rook',
        'proposal:curlew-proposal',
      ]),
    )
    expect(ids.filter((id) => id.startsWith('value:'))).toEqual(['value:rook:pinion'])
    expect(ids.filter((id) => id.startsWith('read-back:'))).toHaveLength(1)
    expect(ids.filter((id) => id.startsWith('damaged:') || id.startsWith('orphan:'))).toEqual([])
    expect(ids.filter((id) => id.startsWith('tires-twice:'))).toEqual([])
  })
})

function fakeServer() {
  const rooms = new Map<string, Y.Doc>()
  const target = {
    editAsServer: async (room: string, edit: (doc: Y.Doc) => void) => {
      const doc = rooms.get(room) ?? new Y.Doc()
      rooms.set(room, doc)
      doc.transact(() => edit(doc))
    },
  }
  return { rooms, target }
}

test('seeding writes the kit and five meetings, keeps what is there, and a second time changes nothing', async () => {
  const { rooms, target } = fakeServer()
  await target.editAsServer('kit', (kit) => {
    writeStarterKit(kit)
    writeField(kit, 'checklistItems', 'calibration-neutral', 'text', 'Neutral, as we do it')
  })
  await seedDemo(target, NOW)
  expect([...rooms.keys()].sort()).toEqual([
    'kit',
    'meeting-loomshed-night-race',
    'meeting-marlpit-open',
    `meeting-${DEMO_MEETING_ID}`,
    'meeting-saltmarsh-opening-round',
    'meeting-saltmarsh-summer-open',
  ])
  const kit = exportDoc('kit', rooms.get('kit')!)
  expect(kit['checklistItems']?.['calibration-neutral:text']).toBe('Neutral, as we do it')
  expect(canonicalJson({ ...kit, checklistItems: null })).toBe(
    canonicalJson({ ...exportDoc('kit', boards.kit), checklistItems: null }),
  )
  expect(canonicalJson(exportDoc('meeting', rooms.get(`meeting-${DEMO_MEETING_ID}`)!))).toBe(
    canonicalJson(exportDoc('meeting', boards.today)),
  )
  const states = () =>
    [...rooms.values()].map((doc) => Buffer.from(Y.encodeStateAsUpdate(doc)).toString('base64'))
  const before = states().join()
  expect(await seedDemo(target, NOW + 5 * MINUTE)).toEqual({ dayWas: null })
  expect(states().join() === before).toBe(true)
})

test('a day later the demo’s own meeting is written anew for that day, and nothing else is touched', async () => {
  const { rooms, target } = fakeServer()
  expect(await seedDemo(target, NOW)).toEqual({ dayWas: null })
  const room = `meeting-${DEMO_MEETING_ID}`
  const [kit, today, past] = ['kit', room, 'meeting-saltmarsh-summer-open'].map((r) => rooms.get(r)!)
  // What people did meanwhile: on the demo's day, and in the kit.
  writeField(today!, 'notes', 'mine', 'about', 'meeting')
  writeField(kit!, 'packs', 'mine', 'label', 'M1')
  writeField(kit!, 'cars', 'rook', 'name', 'Rook the second')
  writeField(kit!, 'packs', 'p06', 'note', 'Swells a little')
  const pastBefore = canonicalJson(exportDoc('meeting', past!))

  const later = NOW + 24 * 60 * MINUTE
  const { dayWas } = await seedDemo(target, later)
  expect(dayWas).toBe(Math.max(...view.heats.live.map((h) => h.plannedStart ?? 0)))
  const fresh = buildDemo(later)
  expect(canonicalJson(exportDoc('meeting', today!))).toBe(canonicalJson(exportDoc('meeting', fresh.today)))
  expect(canonicalJson(exportDoc('meeting', past!))).toBe(pastBefore)
  const v = new BoardReading({ kit: kit!, meeting: today! }).view()
  expect(v.packs.get('mine')?.label).toBe('M1')
  expect(v.cars.get('rook')?.name).toBe('Rook the second')
  expect(v.packs.get('p06')?.note).toBe('Swells a little')
  expect(v.meetings.get(DEMO_MEETING_ID)?.startsAt).toBe(v.meeting.get('meeting')?.startsAt)
  const now = runsOf(v, later).filter((r) => r.heat.roundId === 'q2')
  expect(now.map((r) => r.state)).toEqual(
    runsOf(view, NOW)
      .filter((r) => r.heat.roundId === 'q2')
      .map((r) => r.state),
  )
  const states = (b: BoardView) => b.packs.live.filter((p) => p.id !== 'mine').map((p) => p.state?.v)
  expect(states(v)).toEqual(states(view))
  expect((await seedDemo(target, later + MINUTE)).dayWas).toBeNull()
})
