import { describe, expect, test } from 'vitest'
import { addRecord, changeRecord, learnFromRun } from '@/lib/board'
import { lapProjections, runRecordsOf, type Projection } from '@/lib/card'
import { projectionBoard } from '../../support/projection-board'
import { must } from '../../support/must'

/** A car with past runs, each with what was measured after it. */
function withRuns(measured: readonly { mah?: number; laps?: number; seconds?: number; pinion?: number }[]) {
  const b = projectionBoard()
  const stamp = <T>(v: T) => ({ v, by: 'manager', at: b.now })
  const ids = measured.map(({ mah, laps, seconds, pinion }, i) => {
    const heatId = must(
      addRecord(b.m, 'meeting', 'heats', {
        classId: b.classId,
        number: 50 + i,
        raceSeconds: 300,
        plannedStart: b.now - 3_600_000 * (9 - i),
        startedAt: { v: b.now - 3_600_000 * (9 - i), by: 'manager', at: b.now },
      }),
    )
    const runId = must(addRecord(b.m, 'meeting', 'entries', { heatId, carId: b.carId }))
    must(
      changeRecord(b.m, 'meeting', 'runs', runId, {
        ...(mah !== undefined && { chargeBackMah: stamp(mah) }),
        ...(laps !== undefined && { result: stamp({ laps, seconds: seconds ?? 300 }) }),
        ...(pinion !== undefined && {
          record: stamp({
            frozenAt: b.now,
            values: { pinion: { assigned: null, fitted: pinion, readBack: true } },
            packId: null,
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

  test('runs that never got round, and cans colder than the air, are no records', () => {
    const b = withRuns([{ laps: 1, seconds: 25 }])
    expect(runRecordsOf(b.view(), b.carId, undefined)).toEqual([])
  })

  test('a run counts as it was geared then, not as the card is today', () => {
    const b = withRuns([{ laps: 20, seconds: 305, pinion: 27 }])
    expect(runRecordsOf(b.view(), b.carId, undefined)[0]?.inputs.pinion).toBe(27)
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
