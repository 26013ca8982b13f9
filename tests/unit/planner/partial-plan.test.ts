import loadHighs from 'highs'
import { beforeAll, describe, expect, it } from 'vitest'
import { CLUB_DAYS, clubDay, smallDay, teamDay, chargeDay } from '../../support/planner-charge-days'
import type { ChargePlanInput, MilpSolver } from '@/lib/planner'
import { chargeInstance } from '@/lib/planner/charge/charge-instance'
import { tooFewCharges } from '@/lib/planner/charge/too-few-charges'
import { checkPlan, greedyPlan, highsSolver, partialPlan, planExists, solveChargePlan } from '@/lib/planner'

let solver: MilpSolver
beforeAll(async () => {
  solver = highsSolver(await loadHighs())
})

/** A solver that never gets anywhere: what is found then is found without it. */
const idle: MilpSolver = {
  solve: () => ({
    status: 'stopped',
    values: null,
    objective: Infinity,
    bound: -Infinity,
    seconds: 0,
    reducedCosts: null,
    rowDuals: null,
  }),
}
const without = (input: ChargePlanInput, runIds: readonly string[]): ChargePlanInput => ({
  ...input,
  runs: input.runs.filter((r) => !runIds.includes(r.id)),
  pins: input.pins.filter((p) => !runIds.includes(p.runId)),
})
const first = <T>(list: readonly T[]): T => {
  const [it] = list
  if (it === undefined) throw new Error('an empty list')
  return it
}
const size = (i: number) => {
  const found = CLUB_DAYS[i]
  if (!found) throw new Error(`no day ${i}`)
  return found
}

describe('a day of 40 runs on 12 packs and 4 channels', () => {
  it('is planned, or shown to be impossible, before any search: whatever the machine is busy with', () => {
    const kinds = CLUB_DAYS.map((d) => solveChargePlan(clubDay(1, d), idle, { timeLimitSeconds: 60 }).kind)
    expect(kinds).toEqual([...Array<string>(6).fill('planned'), ...Array<string>(3).fill('impossible')])
  })

  it('that needs more charges than there are is impossible for the solver too, where nothing is counted beforehand', () => {
    // A pack that fits nothing changes nothing, but with its part set aside nothing is counted.
    const searched = (input: ChargePlanInput) => {
      const ghost = { ...first(input.packs), id: 'ghost', label: 'Ghost', state: 'empty' as const }
      const day = { ...input, packs: [...input.packs, ghost] }
      return planExists(day, solver, new Set(['pack:ghost']), 60)
    }
    let counted = 0
    for (let seed = 1; seed <= 400; seed++) {
      const input = smallDay(seed)
      if (!tooFewCharges(chargeInstance(input))) continue
      counted++
      expect(searched(input), `day ${seed}`).toBe(false)
    }
    expect(counted).toBeGreaterThan(60)
    expect(searched(clubDay(1, size(8)))).toBe(false)
  })
})

describe('a plan for some of the runs', () => {
  it('holds for the runs in it, and names those it leaves out in order of time', () => {
    for (const d of [size(6), size(7), size(8)]) {
      const input = clubDay(2, d)
      const partial = partialPlan(input, solver, { timeLimitSeconds: 0.2 })
      expect(partial?.plan.uses.length).toBe(input.runs.length - (partial?.leftOut.length ?? 0))
      expect(checkPlan(without(input, partial?.leftOut ?? []), partial?.plan.uses ?? [])).toEqual([])
      expect(partial?.leftOut.length).toBeGreaterThan(0)
      expect(partial?.leftOut.length).toBeLessThanOrEqual(5)
      const times = (partial?.leftOut ?? []).map((id) => input.runs.find((r) => r.id === id)?.readyBy ?? 0)
      expect(times).toEqual([...times].sort((a, b) => a - b))
    }
  })

  it('leaves a run out that matters less, though that one comes earlier', () => {
    const input = clubDay(1, size(6))
    const partial = partialPlan(input, idle, { timeLimitSeconds: 1 })
    const finals = input.runs.filter((r) => r.importance === 5).map((r) => r.id)
    expect(partial?.leftOut.filter((id) => finals.includes(id))).toEqual([])
  })

  it('is there when the search found nothing in time, on days with pins, ongoing charges and all else', () => {
    let some = 0
    for (let seed = 1; seed <= 200; seed++) {
      const input = smallDay(seed)
      const partial = partialPlan(input, idle, { timeLimitSeconds: 1 })
      if (!partial) {
        expect(greedyPlan(input, { skip: true }).uses).toEqual([])
        continue
      }
      expect(checkPlan(without(input, partial.leftOut), partial.plan.uses), `day ${seed}`).toEqual([])
      if (partial.leftOut.length) some++
    }
    expect(some).toBeGreaterThan(30)
  })

  it('leaves nobody out where a careful person would find a plan', () => {
    const input = chargeDay(3, teamDay)
    expect(partialPlan(input, idle, { timeLimitSeconds: 1 })?.leftOut).toEqual([])
  })
})
