import { describe, expect, test } from 'vitest'
import { addRecord, assignValue, changeRecord, starterRecords } from '@/lib/board'
import type { ThumbParameter } from '@/lib/board/thumb-parameters'
import { runsOf } from '@/lib/card'
import { thumbSuggestions } from '@/lib/suggestions'
import { wilson } from '@/lib/suggestions/rules-of-thumb'
import { projectionBoard } from '../../support/projection-board'
import { must } from '../../support/must'

const HOUR = 3_600_000

/** A car whose runs were driven with these rear springs, and how loose it was each time; null: nobody asked. */
function season(runs: readonly { spring: number; loose: number | null }[]) {
  const b = projectionBoard()
  const stamp = <T>(v: T, at = b.now) => ({ v, by: 'manager', at })
  must(changeRecord(b.m, 'kit', 'handlingWords', 'loose', { name: 'Loose' }))
  const rule = (name: string, parameter: ThumbParameter, order: number) =>
    must(
      addRecord(b.m, 'kit', 'rulesOfThumb', {
        name,
        wordId: 'loose',
        parameter,
        direction: 'down',
        isCommonPractice: true,
        order,
      }),
    )
  rule('Thinner bar', 'antiRollBarRear', 1)
  rule('Softer springs', 'springRear', 2)
  runs.forEach(({ spring, loose }, i) => {
    const at = b.now - HOUR * (runs.length - i)
    const heatId = must(
      addRecord(b.m, 'meeting', 'heats', {
        classId: b.classId,
        number: 10 + i,
        plannedStart: at,
        startedAt: stamp(at),
        finishedAt: stamp(at + 300_000),
      }),
    )
    const runId = must(addRecord(b.m, 'meeting', 'entries', { heatId, carId: b.carId }))
    must(
      changeRecord(b.m, 'meeting', 'runs', runId, {
        ...(loose !== null && { feel: stamp(3) }),
        record: stamp({
          frozenAt: at,
          values: { springRear: { assigned: spring, fitted: spring, readBack: true } },
          packId: null,
          tireSetId: null,
          missing: [],
          accepted: true,
          digest: '',
        }),
      }),
    )
    if (loose)
      must(
        changeRecord(b.m, 'meeting', 'remarks', `${runId}.r1`, {
          said: stamp({ wordId: 'loose', strength: loose }),
        }),
      )
  })
  must(assignValue(b.m, b.view(), { carId: b.carId, parameterId: 'springRear', value: 60 }))
  return { ...b, told: () => thumbSuggestions(b.view(), runsOf(b.view(), b.now), b.carId) }
}

describe('rules of thumb', () => {
  test('answer the driver’s word of the last run, with one step of the value within its range', () => {
    const told = season([{ spring: 60, loose: 2 }]).told()
    expect(told.map((s) => s.rule.name)).toEqual(['Thinner bar', 'Softer springs'])
    expect(told[1]).toMatchObject({
      word: 'Loose',
      tried: 0,
      better: 0,
      interval: null,
      change: { parameterId: 'springRear', from: 60, to: 54 },
    })
    // The card does not say what bar is on the car.
    expect(told[0]?.change).toBeNull()
  })

  test('are counted as they worked here, plainly, and what worked comes first', () => {
    const told = season([
      { spring: 70, loose: 3 },
      { spring: 65, loose: 1 },
      { spring: 60, loose: 1 },
      // Nobody asked after this one: neither it nor the one after it tells anything.
      { spring: 55, loose: null },
      { spring: 50, loose: 2 },
      // The other way: not this rule.
      { spring: 60, loose: 2 },
      { spring: 55, loose: 0 },
      { spring: 55, loose: 1 },
    ]).told()
    expect(told[0]).toMatchObject({ rule: { name: 'Softer springs' }, tried: 3, better: 2 })
  })

  test('say nothing where the driver said nothing of it', () => {
    expect(
      season([
        { spring: 60, loose: 2 },
        { spring: 60, loose: 0 },
      ]).told(),
    ).toEqual([])
    expect(season([]).told()).toEqual([])
  })

  test('the starter’s are marked as common practice, each with a word of the starter’s list', () => {
    const records = starterRecords()
    const words = new Set(records.filter((r) => r.collection === 'handlingWords').map((r) => r.id))
    const rules = records.filter((r) => r.collection === 'rulesOfThumb')
    expect(rules.length).toBeGreaterThan(8)
    for (const { fields } of rules) {
      expect(fields['isCommonPractice']).toBe(true)
      expect(words.has(String(fields['wordId']))).toBe(true)
    }
  })
})

test('the interval of a share is Wilson’s', () => {
  // 4 of 20 at 90%: Wilson's formula (NIST/SEMATECH e-Handbook 7.2.4.1) computed in Python.
  const { low, high } = wilson(4, 20)
  expect(low).toBeCloseTo(0.09311801773719935, 6)
  expect(high).toBeCloseTo(0.3783766826156288, 6)
  expect(wilson(0, 3).low).toBe(0)
  expect(wilson(3, 3).high).toBe(1)
})
