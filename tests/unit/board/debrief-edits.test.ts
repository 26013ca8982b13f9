import { expect, test } from 'vitest'
import {
  addRemark,
  assignTires,
  changeRemark,
  markLap,
  noteLaps,
  noteResult,
  noteTemperature,
  noteTires,
  removeRemark,
  sayHowItRan,
  setTireState,
  setToldBy,
  stampStart,
  type RunResult,
  type TireLook,
} from '@/lib/board'
import { freezeRecord, remarksOf } from '@/lib/card'
import { afterTheFlag } from '../../support/after-the-flag'
import { merge, testBoard } from '../../support/board'
import { must } from '../../support/must'
import { prepareRook, raceDay } from '../../support/race-day-board'

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

test('the minutes after the finish are corrected alone: the reading stays whose it is', () => {
  const d = afterTheFlag()
  const runId = d.runId
  must(noteTemperature(d.ilse, d.view(), { runId, part: 'motor', celsius: 78, afterMin: 2 }))
  must(noteTemperature(d.m, d.view(), { runId, part: 'motor', afterMin: 4 }))
  expect(d.view().runs.get(runId)?.motorC).toMatchObject({ v: 78, by: 'ilse' })
  expect(d.view().runs.get(runId)?.motorAfterMin).toMatchObject({ v: 4, by: 'manager' })
  must(noteTemperature(d.m, d.view(), { runId, part: 'motor', celsius: null }))
  expect(d.view().runs.get(runId)?.motorAfterMin?.v).toBeNull()
})

test('a reading of a heat without a flag has no minutes', () => {
  const d = afterTheFlag()
  must(noteTemperature(d.ilse, d.view(), { runId: d.runId, part: 'pack', celsius: 41 }))
  expect(d.view().runs.get(d.runId)?.packC?.v).toBe(41)
  expect(d.view().runs.get(d.runId)?.packAfterMin).toBeUndefined()
})

test('“worn out” by mistake: another word puts the set back, and leaves one alone that somebody else called worn', () => {
  const d = afterTheFlag()
  const note = (look: TireLook) => must(noteTires(d.ilse, d.view(), { runId: d.runId, look }))
  note('done')
  expect(d.view().tireSets.get('T01')?.state?.v).toBe('worn')
  note('even')
  expect(d.view().tireSets.get('T01')?.state?.v).toBe(
    d.view().tireSets.get('T01')?.onCarId ? 'on-car' : 'used',
  )
  note('done')
  must(setTireState(d.m, d.view(), { tireSetId: 'T01', state: 'worn' }))
  note('even')
  expect(d.view().tireSets.get('T01')?.state?.v).toBe('worn')
})

test('a set that was only assigned is the run’s too: what the sheet names is what “worn out” takes', () => {
  const d = raceDay()
  prepareRook(d)
  must(assignTires(d.m, d.view(), { runId: d.runs.heron, tireSetId: 'T01' }))
  expect(setToldBy(d.view(), d.runs.heron)).toBe('T01')
  must(noteTires(d.m, d.view(), { runId: d.runs.heron, look: 'done' }))
  expect(d.view().tireSets.get('T01')?.state?.v).toBe('worn')
})

test('part of the corner from one phone and strength from another: one remark has both', () => {
  const d = afterTheFlag()
  const remarkId = must(
    addRemark(d.dana, d.view(), { runId: d.runId, remark: { wordId: 'pushes', piece: 3, strength: 2 } }),
  )
  const phone = testBoard()
  merge(d.docs, phone.docs)
  must(changeRemark(d.dana, d.view(), { remarkId, phase: 'exit' }))
  must(changeRemark(phone.as('driver', 'dana'), phone.view(), { remarkId, strength: 3 }))
  merge(d.docs, phone.docs)
  expect(remarksOf(d.view(), d.runId).map((r) => r.said.v)).toEqual([
    { wordId: 'pushes', piece: 3, phase: 'exit', strength: 3 },
  ])
})

test('more is said of a remark only while it is there', () => {
  const d = afterTheFlag()
  expect(changeRemark(d.dana, d.view(), { remarkId: `${d.runId}.nothing`, strength: 3 }).ok).toBe(false)
  const remarkId = must(
    addRemark(d.dana, d.view(), { runId: d.runId, remark: { wordId: 'pushes', strength: 2 } }),
  )
  must(removeRemark(d.dana, { remarkId }))
  expect(changeRemark(d.dana, d.view(), { remarkId, strength: 3 }).ok).toBe(false)
})

test('a car that stopped on the way may have laps without a time; one that finished may not', () => {
  const d = afterTheFlag()
  const note = (result: RunResult) => noteResult(d.ilse, d.view(), { runId: d.runId, result })
  expect(note({ laps: 7, seconds: 0 })).toMatchObject({ ok: false, error: { field: 'Time' } })
  must(note({ laps: 7, seconds: 0, bestLapS: 23.5, ended: 'did-not-finish' }))
  expect(d.view().runs.get(d.runId)?.result?.v).toMatchObject({ laps: 7, bestLapS: 23.5 })
  expect(note({ laps: 7, seconds: 150, bestLapS: 23.5, ended: 'did-not-finish' })).toMatchObject({
    ok: false,
    error: { field: 'Best lap' },
  })
})
