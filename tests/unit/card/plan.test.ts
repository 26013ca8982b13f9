import loadHighs from 'highs'
import { beforeAll, describe, expect, it } from 'vitest'
import {
  assignPack,
  putPackIn,
  runEdit,
  setPackState,
  startCharge,
  takePlan,
  type PlannedPack,
} from '@/lib/board'
import { asPlannedPack, looseEnds, planInput, runsOf, watchPlan } from '@/lib/card'
import { ok } from '@/lib/core/result'
import {
  highsSolver,
  replanGoals,
  solveChargePlan,
  type ChargePlanInput,
  type MilpSolver,
} from '@/lib/planner'
import { planParts } from '@/app/meeting/replan/plan-parts'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

const MIN = 60_000
const NOW = Date.UTC(2026, 4, 2, 9, 0)
let solver: MilpSolver
beforeAll(async () => void (solver = highsSolver(await loadHighs())))

/** Two cars, two heats at 11:00 and 11:10 UTC, two empty packs, one charger with two channels of 10 A. */
function raceDay() {
  const b = testBoard()
  let now = NOW
  const m = { ...b.as('manager', 'boss'), clock: { now: () => now } }
  must(
    runEdit(m, 'seed', (w) => {
      for (const car of ['rook', 'heron']) w.kit('cars', car, { name: car, driverId: `${car}-driver` })
      for (const [i, id] of ['p1', 'p2', 'p3'].entries())
        w.kit('packs', id, {
          label: id.toUpperCase(),
          cells: 2,
          capacityMah: 5000,
          resistanceMilliohm: 5 + i,
          maxChargeC: 1,
          cycles: 10,
          state: w.stamp(i < 2 ? 'resting' : 'retired'),
        })
      w.kit('chargers', 'a', { label: 'A', channels: 2, channelCurrentA: 10, channelPowerW: 200 })
      w.meeting('meeting', 'meeting', { stagingLeadSeconds: 300 })
      w.meeting('rounds', 'q1', { name: 'Q1', kind: 'qualifying' })
      w.meeting('classes', 'c', { name: 'C', raceSeconds: 300, cells: 2 })
      for (const [i, car] of ['rook', 'heron'].entries()) {
        w.meeting('heats', `h${i + 1}`, {
          number: i + 1,
          roundId: 'q1',
          classId: 'c',
          order: i,
          plannedStart: NOW + (120 + 10 * i) * MIN,
        })
        w.meeting('entries', `run-${car}`, { heatId: `h${i + 1}`, carId: car })
      }
      return ok(undefined)
    }),
  )
  const runs = () => runsOf(b.view(), now)
  const input = () => planInput(b.view(), runs(), now)
  const shift = (minutes: number) =>
    must(
      runEdit(m, 'shift', (w) => {
        for (const i of [0, 1])
          w.meeting('heats', `h${i + 1}`, { plannedStart: NOW + (120 + 10 * i + minutes) * MIN })
        return ok(undefined)
      }),
    )
  return {
    ...b,
    m,
    runs,
    input,
    shift,
    at: (t: number) => void (now = t),
    now: () => now,
    watch: () => watchPlan(b.view(), runs(), now),
  }
}
const solve = (input: ChargePlanInput) => {
  const out = solveChargePlan(input, solver, { timeLimitSeconds: 20 })
  if (out.kind !== 'planned') throw new Error(out.kind)
  return out.plan
}
const clock = (at: number) => new Date(at).toISOString().slice(11, 16)
function takenDay() {
  const day = raceDay()
  const plan = solve(day.input())
  must(takePlan(day.m, day.view(), plan.uses.map(asPlannedPack)))
  return { ...day, plan }
}

describe('what the planner is given', () => {
  it('only the team’s coming runs, and packs that can be used', () => {
    const { input } = raceDay()
    expect(input().runs.map((r) => r.id)).toEqual(['run-rook', 'run-heron'])
    expect(input().packs.map((p) => [p.id, p.state])).toEqual([
      ['p1', 'empty'],
      ['p2', 'empty'],
    ])
    expect(input().channels.map((c) => c.id)).toEqual(['a.1', 'a.2'])
  })

  it('a pack that is charged can go into a car whose call is minutes away', () => {
    const day = raceDay()
    must(setPackState(day.m, { packId: 'p1', state: 'charged' }))
    day.at((day.runs()[0]?.callAt ?? 0) - 6 * MIN)
    const plan = solve({ ...day.input(), runs: day.input().runs.slice(0, 1) })
    expect(plan.uses).toMatchObject([{ runId: 'run-rook', packId: 'p1', charge: null }])
  })

  it('a pack on charge is full when its charge ends, not before', () => {
    const day = raceDay()
    const until = NOW + 40 * MIN
    must(
      startCharge(day.m, day.view(), {
        chargeId: 'x',
        packId: 'p1',
        runId: null,
        chargerId: 'a',
        channel: 1,
        currentA: 5,
        expectedEnd: until,
      }),
    )
    const pack = day.input().packs.find((p) => p.id === 'p1')
    expect(pack).toMatchObject({ state: 'full', availableFrom: until })
    expect(day.input().ongoing).toMatchObject([{ packId: 'p1', channelId: 'a.1', until }])
  })

  it('a pack that has run is empty and hot, though nobody has said so', () => {
    const day = raceDay()
    must(putPackIn(day.m, day.view(), { runId: 'run-rook', packId: 'p1' }))
    expect(day.input().packs[0]).toMatchObject({ id: 'p1', state: 'full' })
    expect(day.input().pins).toMatchObject([{ runId: 'run-rook', packId: 'p1' }])
    // Called: it will be empty after the race, whatever it is now.
    const call = day.runs()[0]?.callAt ?? 0
    day.at(call + MIN)
    expect(day.input().packs[0]).toMatchObject({ state: 'empty' })
    expect(day.input().packs[0]?.availableFrom).toBeGreaterThan(call + 25 * MIN)
    const start = call + 6 * MIN
    must(
      runEdit(day.m, 'stamps', (w) => {
        w.meeting('heats', 'h1', { startedAt: w.stamp(start), finishedAt: w.stamp(start + 5 * MIN) })
        return ok(undefined)
      }),
    )
    day.at(start + 7 * MIN)
    const pack = day.input().packs.find((p) => p.id === 'p1')
    // Six minutes out of the car, fifteen to cool.
    expect(pack).toMatchObject({ state: 'empty', availableFrom: start + (5 + 6 + 15) * MIN })
    must(setPackState(day.m, { packId: 'p1', state: 'charged' }))
    expect(day.input().packs.find((p) => p.id === 'p1')).toMatchObject({ state: 'full' })
  })
})

describe('the plan that people took', () => {
  it('holds as long as nothing moves, and asks for nothing', () => {
    const day = takenDay()
    expect(day.watch()).toEqual({ isTaken: true, troubles: [], waitingLong: 0 })
    expect(looseEnds(day.view(), day.now()).map((e) => e.id)).not.toContain('plan-broken')
    const parts = planParts(day.view(), day.runs(), solve(day.input()), clock)
    expect(parts.flatMap((p) => p.differences)).toEqual([])
  })

  it('without one there is nothing to watch', () =>
    expect(raceDay().watch()).toEqual({ isTaken: false, troubles: [], waitingLong: 0 }))

  it('no longer holds when a heat comes earlier than the charge ends; the new one does', () => {
    const day = takenDay()
    day.shift(-30)
    const { troubles } = day.watch()
    expect(troubles.map((t) => t.kind)).toEqual(['late', 'late'])
    expect(troubles[0]?.words).toMatch(/^rook, heat 1: P\d would be ready \d+ min after it is needed$/)
    const end = looseEnds(day.view(), day.now()).find((e) => e.id === 'plan-broken')
    expect(end).toMatchObject({
      act: { kind: 'open-plan' },
      bitesAt: Math.min(...troubles.map((t) => t.bitesAt)),
    })
    const plan = solve({ ...day.input(), goals: replanGoals })
    // Stable: the packs stay with their runs, the charges move.
    expect(plan.uses.map((u) => u.packId)).toEqual(day.plan.uses.map((u) => u.packId))
    const parts = planParts(day.view(), day.runs(), plan, clock)
    expect(parts.every((p) => p.differences.some((d) => d.startsWith('charge from ')))).toBe(true)
    must(
      takePlan(
        day.m,
        day.view(),
        parts.map((p) => p.proposed),
      ),
    )
    expect(day.watch().troubles).toEqual([])
  })

  it('can be taken in parts: what was left out stays as it was and stays in trouble', () => {
    const day = takenDay()
    day.shift(-30)
    const parts = planParts(day.view(), day.runs(), solve({ ...day.input(), goals: replanGoals }), clock)
    const [first] = parts
    must(takePlan(day.m, day.view(), first ? [first.proposed] : []))
    expect(day.watch().troubles.map((t) => t.runId)).toEqual(['run-heron'])
  })

  it('a charge that nobody began on time is late once it can’t be done any more', () => {
    const day = takenDay()
    const starts = day.plan.uses.map((u) => u.charge?.startAt ?? 0)
    day.at(Math.min(...starts) + MIN)
    expect(day.watch().troubles).toEqual([])
    day.at(Math.max(...starts) + 40 * MIN)
    expect(day.watch().troubles.map((t) => t.kind)).toContain('late')
  })

  it('is held against what somebody promised since', () => {
    const day = takenDay()
    const other = day.plan.uses[1]?.packId ?? ''
    must(assignPack(day.m, day.view(), { runId: 'run-rook', packId: other }))
    expect(day.watch().troubles.map((t) => t.kind)).toContain('other-pack')
  })

  it('and against a pack that broke', () => {
    const day = takenDay()
    const packId = day.plan.uses[0]?.packId ?? ''
    must(setPackState(day.m, { packId, state: 'retired' }))
    expect(day.watch().troubles).toMatchObject([{ kind: 'unfit', runId: day.plan.uses[0]?.runId }])
  })

  it('two charges on one channel at once, as two phones offline can plan them, are seen', () => {
    const day = takenDay()
    const parts = day.plan.uses.map(asPlannedPack)
    const onOne = parts.map((p): PlannedPack => ({
      ...p,
      charge: p.charge && { ...p.charge, chargerId: 'a', channel: 1 },
    }))
    must(takePlan(day.m, day.view(), onOne))
    expect(day.watch().troubles.map((t) => t.kind)).toEqual(['channel'])
  })

  it('still holds when the day slips, but packs that would sit full too long are told', () => {
    const day = takenDay()
    day.shift(60)
    expect(day.watch()).toMatchObject({ troubles: [], waitingLong: 2 })
    const plan = solve(day.input())
    expect(plan.values.match).toBe(day.plan.values.match)
    const parts = planParts(day.view(), day.runs(), plan, clock)
    must(
      takePlan(
        day.m,
        day.view(),
        parts.map((p) => p.proposed),
      ),
    )
    expect(day.watch()).toMatchObject({ troubles: [], waitingLong: 0 })
  })

  it('a pin holds in the new plan', () => {
    const day = takenDay()
    const use = day.plan.uses[0]
    must(
      runEdit(day.m, 'pin', (w) => {
        w.meeting('charges', use?.runId ?? '', { pinned: true })
        return ok(undefined)
      }),
    )
    day.shift(60)
    const again = solve(day.input()).uses.find((u) => u.runId === use?.runId)
    expect(again).toMatchObject({ packId: use?.packId, charge: { startAt: use?.charge?.startAt } })
  })
})
