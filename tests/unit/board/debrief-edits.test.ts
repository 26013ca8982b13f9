import { expect, test } from 'vitest'
import {
  addRemark,
  changeRecord,
  markLap,
  noteCharge,
  noteLaps,
  noteResult,
  noteTemperature,
  noteTires,
  removeRemark,
  sayHowItRan,
  stampStart,
  startCharge,
  stopCharge,
  type RunRecord,
} from '@/lib/board'
import { freezeRecord } from '@/lib/card'
import { merge, testBoard } from '../../support/board'
import { must } from '../../support/must'
import { prepareRook, raceDay } from '../../support/race-day-board'

/** Rook has run its first heat on pack P01 and tires T01. */
function afterTheFlag() {
  const d = raceDay()
  prepareRook(d)
  const record: RunRecord = freezeRecord(d.view(), d.run(d.runs.rook1), d.now)
  must(stampStart(d.m, d.view(), { heatId: d.h1, at: d.now, records: [{ runId: d.runs.rook1, record }] }))
  must(changeRecord(d.m, 'kit', 'handlingWords', 'pushes', { name: 'Pushes' }))
  must(changeRecord(d.m, 'kit', 'chargers', 'C1', { label: 'Bench', channels: 2 }))
  return { ...d, ilse: d.as('mechanic', 'ilse'), dana: d.as('driver', 'dana'), runId: d.runs.rook1 }
}

test('two people fill one debrief at once, and every line says whose it is', () => {
  const d = afterTheFlag()
  must(noteTemperature(d.ilse, d.view(), { runId: d.runId, part: 'motor', celsius: 78, afterMin: 2 }))
  must(
    sayHowItRan(d.dana, d.view(), {
      runId: d.runId,
      feel: 4,
      next: 'leave',
      words: '  Quick out of the hairpin ',
    }),
  )
  must(
    addRemark(d.dana, d.view(), {
      runId: d.runId,
      remark: { wordId: 'pushes', piece: 3, place: 'Hairpin', phase: 'exit', strength: 2 },
    }),
  )
  const run = d.view().runs.get(d.runId)
  expect(run?.motorC).toMatchObject({ v: 78, by: 'ilse' })
  expect(run?.motorAfterMin).toMatchObject({ v: 2, by: 'ilse' })
  expect(run?.feel).toMatchObject({ v: 4, by: 'dana' })
  expect(run?.driverWords).toMatchObject({ v: 'Quick out of the hairpin', by: 'dana' })
  expect(d.view().remarks.live.map((r) => r.said)).toMatchObject([{ by: 'dana', v: { place: 'Hairpin' } }])
})

test('the driver’s words are the car’s driver’s: neither a mechanic nor another driver writes them', () => {
  const d = afterTheFlag()
  const eli = d.as('driver', 'eli')
  for (const ctx of [d.ilse, eli]) {
    expect(sayHowItRan(ctx, d.view(), { runId: d.runId, feel: 1 }).ok).toBe(false)
    expect(addRemark(ctx, d.view(), { runId: d.runId, remark: { wordId: 'pushes', strength: 1 } }).ok).toBe(
      false,
    )
  }
  expect(noteTemperature(eli, d.view(), { runId: d.runId, part: 'pack', celsius: 40, afterMin: 1 }).ok).toBe(
    false,
  )
  expect(d.view().runs.get(d.runId)?.feel).toBeUndefined()
  expect(d.view().remarks.live).toEqual([])
})

test('a remark that was removed is gone from the list and stays on the board', () => {
  const d = afterTheFlag()
  const id = must(addRemark(d.dana, d.view(), { runId: d.runId, remark: { wordId: 'pushes', strength: 3 } }))
  must(removeRemark(d.dana, { remarkId: id }))
  expect(d.view().remarks.live).toEqual([])
  expect(d.view().remarks.get(id)?.said?.v?.strength).toBe(3)
})

test('a marked lap stays in the list, and a corrected list keeps its marks', () => {
  const d = afterTheFlag()
  must(noteLaps(d.ilse, d.view(), { runId: d.runId, laps: [24.1, 22.5, 31.8, 22.7] }))
  must(markLap(d.ilse, d.view(), { runId: d.runId, lap: 3, mark: 'crash' }))
  must(noteLaps(d.ilse, d.view(), { runId: d.runId, laps: [24.1, 22.5, 31.9, 22.7] }))
  expect(d.view().runs.get(d.runId)?.laps?.v).toEqual([24.1, 22.5, 31.9, 22.7])
  expect(d.view().lapMarks.get(`${d.runId}.3`)?.mark?.v).toBe('crash')
  const r = markLap(d.ilse, d.view(), { runId: d.runId, lap: 5, mark: 'pass' })
  expect(r).toMatchObject({ ok: false, error: { field: 'Lap', remedy: 'Pick a lap from 1 to 4.' } })
})

test('two phones that mark two laps while offline keep both marks', () => {
  const d = afterTheFlag()
  must(noteLaps(d.ilse, d.view(), { runId: d.runId, laps: [24, 22, 31] }))
  const phone = testBoard()
  merge(d.docs, phone.docs)
  must(markLap(d.ilse, d.view(), { runId: d.runId, lap: 3, mark: 'crash' }))
  must(markLap(phone.as('driver', 'dana'), phone.view(), { runId: d.runId, lap: 2, mark: 'pass' }))
  merge(d.docs, phone.docs)
  expect(d.view().lapMarks.get(`${d.runId}.3`)?.mark?.v).toBe('crash')
  expect(d.view().lapMarks.get(`${d.runId}.2`)?.mark?.v).toBe('pass')
})

test.each([
  [{ laps: 12, seconds: 0 }, 'Time'],
  [{ laps: 3, seconds: 60, ended: 'did-not-start' as const }, 'Laps'],
  // Twelve laps none of which was faster than 26 s take 312 s at least.
  [{ laps: 12, seconds: 300, bestLapS: 26 }, 'Best lap'],
])('a result that can’t be so is refused: %o', (result, field) => {
  const d = afterTheFlag()
  expect(noteResult(d.ilse, d.view(), { runId: d.runId, result })).toMatchObject({
    ok: false,
    error: { field },
  })
})

test('tires that come back say so to their set, unless another run used it since', () => {
  const d = afterTheFlag()
  must(noteTires(d.ilse, d.view(), { runId: d.runId, diameterMm: 81.5, look: 'done' }))
  expect(d.view().tireSets.get('T01')).toMatchObject({ diameterMm: 81.5, state: { v: 'worn' } })
  const record = freezeRecord(d.view(), d.run(d.runs.heron), d.now + 60_000)
  const used = { ...record, tireSetId: 'T01' }
  must(
    stampStart(d.m, d.view(), {
      heatId: d.h2,
      at: d.now + 60_000,
      records: [{ runId: d.runs.heron, record: used }],
    }),
  )
  must(noteTires(d.ilse, d.view(), { runId: d.runId, diameterMm: 82 }))
  expect(d.view().runs.get(d.runId)?.tireMm?.v).toBe(82)
  expect(d.view().tireSets.get('T01')?.diameterMm).toBe(81.5)
})

const onCharge = (d: ReturnType<typeof afterTheFlag> & { later: { now: number } }, chargeId: string) =>
  must(
    startCharge({ ...d.ilse, clock: { now: () => d.later.now } }, d.view(), {
      chargeId,
      packId: 'P01',
      runId: d.runs.rook2,
      chargerId: 'C1',
      channel: 1,
      currentA: 5,
      expectedEnd: d.later.now + 1_800_000,
    }),
  )

test('taking the pack off charge writes what went in, and its voltage before, with the run that it came out of', () => {
  const d = { ...afterTheFlag(), later: { now: 0 } }
  d.later.now = d.now + 600_000
  onCharge(d, 'c1')
  must(
    stopCharge(d.ilse, d.view(), {
      chargeId: 'c1',
      full: true,
      chargedMah: 2650,
      endVoltageV: 8.4,
      restBeforeV: 7.62,
    }),
  )
  expect(d.view().runs.get(d.runId)).toMatchObject({
    chargeBackMah: { v: 2650, by: 'ilse' },
    restVoltageV: { v: 7.62 },
  })
  expect(d.view().runs.get(d.runs.rook2)?.chargeBackMah).toBeUndefined()
})

test('a charge in two parts is one: their sum is noted once it is full', () => {
  const d = { ...afterTheFlag(), later: { now: 0 } }
  d.later.now = d.now + 600_000
  onCharge(d, 'c1')
  d.later.now += 60_000
  const at = (ms: number) => ({ ...d.ilse, clock: { now: () => ms } })
  must(stopCharge(at(d.later.now), d.view(), { chargeId: 'c1', full: false, chargedMah: 900 }))
  expect(d.view().runs.get(d.runId)?.chargeBackMah).toBeUndefined()
  d.later.now += 60_000
  onCharge(d, 'c1')
  must(stopCharge(at(d.later.now + 60_000), d.view(), { chargeId: 'c1', full: true, chargedMah: 1700 }))
  expect(d.view().runs.get(d.runId)?.chargeBackMah?.v).toBe(2600)
})

test('a figure that somebody entered is not written over by the charger’s', () => {
  const d = { ...afterTheFlag(), later: { now: 0 } }
  must(noteCharge(d.ilse, d.view(), { runId: d.runId, chargeBackMah: 2500 }))
  d.later.now = d.now + 600_000
  onCharge(d, 'c1')
  must(stopCharge(d.ilse, d.view(), { chargeId: 'c1', full: true, chargedMah: 2650 }))
  expect(d.view().runs.get(d.runId)?.chargeBackMah?.v).toBe(2500)
})
