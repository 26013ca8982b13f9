import loadHighs from 'highs'
import { beforeAll, describe, expect, it } from 'vitest'
import { assignTires, assignValue, keepTires, putTiresOn, runEdit, takeTires } from '@/lib/board'
import { runsOf, tireInput } from '@/lib/card'
import { ok } from '@/lib/core/result'
import { assignTires as solveTires, highsSolver, type MilpSolver } from '@/lib/planner'
import { allowanceWords, tireParts, tireSetRows } from '@/app/board/[meetingId]/plan/tire-parts'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

const MIN = 60_000
const NOW = Date.UTC(2026, 4, 2, 9, 0)
let solver: MilpSolver
beforeAll(async () => void (solver = highsSolver(await loadHighs())))

/** Rook (Dana) in a practice, two qualifying runs and a final, an hour apart; Heron (Eli) in the second qualifying run's heat. */
function raceDay(maxTireSets?: number) {
  const b = testBoard()
  let now = NOW
  const m = { ...b.as('manager', 'boss'), clock: { now: () => now } }
  must(
    runEdit(m, 'seed', (w) => {
      w.kit('cars', 'rook', { name: 'Rook', driverId: 'dana', drive: '2wd' })
      w.kit('cars', 'heron', { name: 'Heron', driverId: 'eli', drive: '2wd' })
      w.kit('people', 'dana', { name: 'Dana' })
      w.kit('people', 'eli', { name: 'Eli' })
      for (const [id, set] of Object.entries({
        old: { runs: 3, runsGood: 4, drive: '2wd' as const },
        mid: { runs: 1, runsGood: 4, drive: '2wd' as const },
        new: { runs: 0, runsGood: 4, drive: '2wd' as const },
        four: { runs: 0, runsGood: 4, drive: '4wd' as const },
        fronts: { axle: 'front' as const },
        worn: { runs: 0, state: w.stamp<'worn'>('worn') },
      }))
        w.kit('tireSets', id, { label: id.toUpperCase(), compound: 'soft', tread: 'low pin', ...set })
      w.meeting('meeting', 'meeting', { stagingLeadSeconds: 300 })
      w.meeting('classes', 'c', { name: 'Two-wheel', raceSeconds: 300, maxTireSets })
      const kinds = ['practice', 'qualifying', 'qualifying', 'final'] as const
      kinds.forEach((kind, i) => {
        w.meeting('rounds', `r${i}`, { name: kind, kind })
        w.meeting('heats', `h${i}`, {
          number: i,
          order: i,
          roundId: `r${i}`,
          classId: 'c',
          plannedStart: NOW + (60 + 60 * i) * MIN,
        })
        w.meeting('entries', `rook${i}`, { heatId: `h${i}`, carId: 'rook' })
      })
      w.meeting('entries', 'heron2', { heatId: 'h2', carId: 'heron' })
      return ok(undefined)
    }),
  )
  const runs = () => runsOf(b.view(), now)
  const input = () => tireInput(b.view(), runs(), now)
  const solve = () => solveTires(input(), solver)!
  return { ...b, m, runs, input, solve, at: (t: number) => void (now = t) }
}

describe('what the tire planner is given', () => {
  it('whole sets that are not worn and fit the drive, with the runs left in them', () => {
    const { input } = raceDay()
    expect(input().runs.map((r) => [r.id, r.importance])).toEqual([
      ['rook0', 0],
      ['rook1', 2],
      ['heron2', 2],
      ['rook2', 2],
      ['rook3', 5],
    ])
    expect(input().sets.map((s) => [s.id, s.runsLeft, s.used])).toEqual(
      expect.arrayContaining([
        ['old', 1, true],
        ['mid', 3, true],
        ['new', 4, false],
        ['four', 4, false],
      ]),
    )
    expect(input().sets).toHaveLength(4)
    const fits = input().runs[0]!.fits
    expect(fits.map((f) => f.setId).sort()).toEqual(['mid', 'new', 'old'])
    expect(fits.find((f) => f.setId === 'old')).toEqual({ setId: 'old', mismatch: 6 })
  })

  it('other rubber than the card asks for counts for more than any wear', () => {
    const day = raceDay()
    must(
      assignValue(day.m, day.view(), {
        carId: 'rook',
        parameterId: 'tireRear',
        value: 'Low pin, super soft',
      }),
    )
    const of = (runId: string) => day.input().runs.find((r) => r.id === runId)!.fits
    expect(of('rook1').find((f) => f.setId === 'new')?.mismatch).toBe(9)
    expect(of('heron2').find((f) => f.setId === 'new')?.mismatch).toBe(0)
  })

  it('allowances by driver and class, practice left out', () => {
    const day = raceDay(2)
    must(assignTires(day.m, day.view(), { runId: 'rook1', tireSetId: 'mid' }))
    must(
      runEdit(day.m, 'started', (w) => {
        w.meeting('heats', 'h0', { startedAt: w.stamp(NOW), finishedAt: w.stamp(NOW + 5 * MIN) })
        w.meeting('heats', 'h1', { startedAt: w.stamp(NOW + 60 * MIN) })
        return ok(undefined)
      }),
    )
    day.at(NOW + 61 * MIN)
    const { limits, runs, pins } = day.input()
    expect(limits).toEqual([
      { id: 'dana c', label: 'the sets of Dana in Two-wheel', maxSets: 2, usedSetIds: ['mid'] },
      { id: 'eli c', label: 'the sets of Eli in Two-wheel', maxSets: 2, usedSetIds: [] },
    ])
    // The run on the track holds its set and takes one run from it.
    expect(runs.map((r) => [r.id, r.limitId])).toEqual([
      ['rook1', 'dana c'],
      ['heron2', 'eli c'],
      ['rook2', 'dana c'],
      ['rook3', 'dana c'],
    ])
    expect(pins).toEqual([{ runId: 'rook1', setId: 'mid' }])
  })

  it('what is on the car, and what somebody said stays', () => {
    const day = raceDay()
    must(putTiresOn(day.m, day.view(), { runId: 'rook0', tireSetId: 'old' }))
    must(assignTires(day.m, day.view(), { runId: 'rook1', tireSetId: 'four' }))
    must(assignTires(day.m, day.view(), { runId: 'rook2', tireSetId: 'mid' }))
    must(keepTires(day.m, { runId: 'rook1', kept: true }))
    const { pins, onCars, known } = day.input()
    expect(pins).toEqual([
      { runId: 'rook0', setId: 'old' },
      { runId: 'rook1', setId: 'four' },
    ])
    expect(onCars).toEqual([{ carId: 'rook', setId: 'old' }])
    expect(known.map((k) => k.runId)).toEqual(['rook1', 'rook2'])
    expect(day.solve().uses).toContainEqual({ runId: 'rook1', setId: 'four' })
  })
})

describe('a tire proposal', () => {
  it('says what it changes, is taken in parts, and has no differences once it is taken whole', () => {
    const day = raceDay()
    must(assignTires(day.m, day.view(), { runId: 'rook3', tireSetId: 'old' }))
    const plan = day.solve()
    expect(plan.unshod).toEqual([])
    const parts = tireParts(day.view(), day.runs(), plan)
    expect(parts.find((p) => p.runId === 'rook3')?.words).toMatch(/^instead of OLD · soft low pin · new$/)
    expect(parts.find((p) => p.runId === 'rook1')?.words).toMatch(/^nothing assigned yet/)
    must(takeTires(day.m, day.view(), parts.slice(0, 1)))
    expect(tireParts(day.view(), day.runs(), plan)).toHaveLength(parts.length - 1)
    must(takeTires(day.m, day.view(), parts))
    expect(tireParts(day.view(), day.runs(), plan)).toEqual([])
    expect(tireParts(day.view(), day.runs(), day.solve()), 'asked again, it stays').toEqual([])
    expect(takeTires(day.as('driver'), day.view(), parts).ok).toBe(false)
  })

  it('within one set per driver: the run that can’t have one is named with the reason', () => {
    const day = raceDay(1)
    must(
      runEdit(day.m, 'few', (w) => {
        for (const id of ['mid', 'new']) w.kit('tireSets', id, { runsGood: 2, runs: 0 })
        w.kit('tireSets', 'old', { runs: 4 })
        return ok(undefined)
      }),
    )
    const plan = day.solve()
    expect(plan.unshod.map((u) => u.runId)).not.toContain('rook3')
    expect(plan.unshod[0]?.words).toContain('no set is left within the sets of Dana in Two-wheel (1 set)')
  })
})

it('the tables count runs behind and before each set, and sets against the class’s limit', () => {
  const day = raceDay(2)
  for (const runId of ['rook1', 'rook2']) must(assignTires(day.m, day.view(), { runId, tireSetId: 'old' }))
  expect(tireSetRows(day.view(), day.runs()).find((r) => r.id === 'old')).toEqual({
    id: 'old',
    label: 'OLD',
    what: '2WD, soft, low pin',
    runs: 3,
    runsGood: 4,
    assigned: 2,
    leftAfter: -1,
  })
  expect(allowanceWords(day.view(), day.runs())).toEqual([
    'Dana, Two-wheel: 1 of 2 sets (OLD)',
    'Eli, Two-wheel: 0 of 2 sets',
  ])
})
