import { describe, expect, test } from 'vitest'
import { addRecord, changeRecord, learnFromRun, type Setting } from '@/lib/board'
import {
  CAN_SOON_MIN,
  carStory,
  currentSnapshot,
  diffCards,
  freezeRecord,
  lapProjections,
  measuredBeside,
  recordSnapshot,
  runsOf,
  valuesOf,
  type Projection,
} from '@/lib/card'
import { frozenBoard } from '@/lib/derived'
import { projectionBoard } from '../../support/projection-board'
import { must } from '../../support/must'

/** A car with past runs, each with what was measured after it. */
interface Measured {
  mah?: number
  laps?: number
  seconds?: number
  canC?: number
  /** Of the can's reading; null: nobody noted them. */
  afterMin?: number | null
  values?: Record<string, Setting>
  packId?: string
  raceSeconds?: number
}
function withRuns(measured: readonly Measured[]) {
  const b = projectionBoard()
  const stamp = <T>(v: T) => ({ v, by: 'manager', at: b.now })
  const ids = measured.map(({ mah, laps, seconds, canC, afterMin, values, packId, raceSeconds }, i) => {
    const heatId = must(
      addRecord(b.m, 'meeting', 'heats', {
        classId: b.classId,
        number: 50 + i,
        raceSeconds: raceSeconds ?? 300,
        plannedStart: b.now - 3_600_000 * (9 - i),
        startedAt: { v: b.now - 3_600_000 * (9 - i), by: 'manager', at: b.now },
      }),
    )
    const runId = must(addRecord(b.m, 'meeting', 'entries', { heatId, carId: b.carId }))
    must(
      changeRecord(b.m, 'meeting', 'runs', runId, {
        ...(mah !== undefined && { chargeBackMah: stamp(mah) }),
        ...(laps !== undefined && { result: stamp({ laps, seconds: seconds ?? 300 }) }),
        ...(canC !== undefined && { motorC: stamp(canC) }),
        ...(typeof afterMin === 'number' && { motorAfterMin: stamp(afterMin) }),
        ...((values ?? packId) && {
          record: stamp({
            frozenAt: b.now,
            values: Object.fromEntries(
              Object.entries(values ?? {}).map(([id, v]) => [
                id,
                { assigned: null, fitted: v, readBack: true },
              ]),
            ),
            packId: packId ?? null,
            tireSetId: null,
            missing: [],
            accepted: true,
            digest: '',
          }),
        }),
      }),
    )
    return runId
  })
  return { ...b, ids }
}
const shown = (b: { basis: () => Parameters<typeof lapProjections>[0] }) => lapProjections(b.basis()).figures
const named = (figures: readonly Projection[], id: string): Projection => {
  const found = figures.find((f) => f.id === id)
  if (!found) throw new Error(`no figure ${id}`)
  return found
}
const share = (p: Projection) => p.plusMinus / Math.abs(p.value ?? 1)

describe('cards learn from what was measured', () => {
  test('a result alone narrows the laps and, by what both rest on, the charge', () => {
    const before = shown(withRuns([]))
    const laps = Math.round(named(before, 'lapsDone').value ?? 0)
    const after = shown(withRuns([{ laps, seconds: 309 }]))
    expect(share(named(after, 'lapsDone'))).toBeLessThan(0.6 * share(named(before, 'lapsDone')))
    expect(share(named(after, 'chargeUsed'))).toBeLessThan(0.98 * share(named(before, 'chargeUsed')))
  })

  test('runs that never got round, and cans no warmer than the air, are no records', () => {
    const of = (m: Measured) => withRuns([m]).basis().records
    expect(of({ laps: 1, seconds: 25 })).toEqual([])
    expect(of({ canC: 15, afterMin: 1 })).toEqual([])
    expect(of({ canC: 65, afterMin: 1 })[0]?.measured).toEqual({ canC: 65 })
  })

  test('a can that was read late, or nobody noted when, was hotter at the finish: nothing is learned from it', () => {
    const of = (afterMin: number | null) => withRuns([{ canC: 65, afterMin }]).basis().records
    expect(of(0)).toHaveLength(1)
    expect(of(CAN_SOON_MIN)).toHaveLength(1)
    expect(of(CAN_SOON_MIN + 1)).toEqual([])
    expect(of(6)).toEqual([])
    expect(of(null)).toEqual([])
  })

  test('a run of a heat that was taken out of the running order teaches nothing, until the heat is back', () => {
    const b = withRuns([{ laps: 20, seconds: 305 }])
    const heatId = b.view().entries.get(b.ids[0])?.heatId ?? ''
    const remove = (removed: boolean) => must(changeRecord(b.m, 'meeting', 'heats', heatId, { removed }))
    remove(true)
    expect(b.basis().records).toEqual([])
    remove(false)
    expect(b.basis().records).toHaveLength(1)
  })

  test('a run counts as it was set up then, not as the card is today', () => {
    const b = withRuns([{ laps: 20, seconds: 305, values: { pinion: 27 }, raceSeconds: 480 }])
    expect(b.basis().records[0]).toMatchObject({ inputs: { pinion: 27, spur: 72 }, raceSeconds: 480 })
  })

  test('a run before a motor swap stays with the motor that it was driven with', () => {
    const b = withRuns([{ laps: 20, seconds: 305 }])
    const swift = must(
      addRecord(b.m, 'kit', 'motors', {
        name: 'Reed',
        kind: 'stock',
        kvRpmPerVolt: 3000,
        resistanceMilliohm: 20,
      }),
    )
    const run = runsOf(b.view(), b.now).find((r) => r.runId === b.ids[0])
    if (!run) throw new Error('there is no such run')
    const record = { v: freezeRecord(b.view(), run, b.now), by: 'manager', at: b.now }
    must(changeRecord(b.m, 'meeting', 'runs', run.runId, { record }))
    must(changeRecord(b.m, 'kit', 'cars', b.carId, { motorId: swift }))
    const basis = b.basis()
    expect(valuesOf(basis).kv).toBe(3000)
    expect(basis.records[0]?.inputs).toMatchObject({ kv: 2200, motorMilliohm: 30 })
    const differ = diffCards(b.view(), recordSnapshot(run, record.v), currentSnapshot(b.view(), b.carId))
    expect(differ).toContainEqual({
      parameterId: 'motor',
      label: 'Motor',
      unit: '',
      was: 'Sedge',
      now: 'Reed',
    })
    // Tried in what-if, it is still the motor of then.
    expect(b.basis({ motor: b.motorId }).records[0]?.inputs).toMatchObject({ kv: 2200, motorMilliohm: 30 })
  })

  test('the mean lap is one figure wherever it is shown: of the laps without crashes and passes', () => {
    const b = withRuns([{ laps: 8, seconds: 8 * 15 + 20, values: { pinion: 31 } }])
    const runId = b.ids[0] ?? ''
    const laps = [15.4, 15, 15.1, 14.9, 32, 15, 15.1, 17.5]
    const at = { by: 'manager', at: b.now }
    must(changeRecord(b.m, 'meeting', 'runs', runId, { laps: { v: laps, ...at } }))
    must(changeRecord(b.m, 'meeting', 'lapMarks', `${runId}.8`, { mark: { v: 'pass', ...at } }))
    const view = b.view()
    const clean = (15.4 + 15 + 15.1 + 14.9 + 15 + 15.1) / 6
    const run = view.runs.get(runId)
    expect(b.basis().records[0]?.measured.meanLapS).toBeCloseTo(clean, 9)
    const story = carStory(frozenBoard(view, b.now + 3_600_000), b.carId)
    expect(story.find((r) => r.run.runId === runId)?.meanS).toBeCloseTo(clean, 9)
    const beside = measuredBeside(view, runId, shown(b), { run, cells: 2, raceSeconds: 300 })
    expect(beside.find((r) => r.id === 'meanLap')?.measured).toBeCloseTo(clean, 9)
  })

  test('forgetting a run gives the figures without it; put back, they are as they were, to the last digit', () => {
    const b = withRuns([
      { mah: 3000, laps: 20, seconds: 305 },
      { mah: 3100, laps: 20, seconds: 303 },
      { mah: 3300, laps: 20, seconds: 312 },
    ])
    const last = b.ids[2] ?? ''
    const all = shown(b)
    must(learnFromRun(b.m, b.view(), { runId: last, use: 'no' }))
    const without = shown(b)
    expect(without).not.toEqual(all)
    expect(without).toEqual(
      shown(
        withRuns([
          { mah: 3000, laps: 20, seconds: 305 },
          { mah: 3100, laps: 20, seconds: 303 },
        ]),
      ),
    )
    must(learnFromRun(b.m, b.view(), { runId: last, use: null }))
    expect(shown(b)).toEqual(all)
  })

  test('only the team’s own runs can be forgotten', () => {
    const b = withRuns([{ mah: 3000 }])
    expect(learnFromRun(b.m, b.view(), { runId: 'nobody', use: 'no' }).ok).toBe(false)
    expect(b.view().runs.get('nobody')).toBeUndefined()
  })
})
