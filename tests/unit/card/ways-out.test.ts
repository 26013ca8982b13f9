import loadHighs from 'highs'
import { beforeAll, describe, expect, it } from 'vitest'
import {
  pinCharge,
  planRunAgain,
  putPackIn,
  runEdit,
  takePlan,
  takeWayOut,
  usualChargeRules,
  type Writer,
} from '@/lib/board'
import { asPlannedPack, planInput, runsOf, watchPlan, wayOnBoard } from '@/lib/card'
import { ok } from '@/lib/core/result'
import {
  acceptParts,
  checkPlan,
  explainImpossible,
  highsSolver,
  replanGoals,
  solveChargePlan,
  waysOut,
  type ChargePlanInput,
  type MilpSolver,
  type PlannedUse,
  type WayKind,
} from '@/lib/planner'
import { planParts } from '@/app/meeting/replan/plan-parts'
import { wayRows } from '@/app/board/[meetingId]/plan/way-rows'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

const MIN = 60_000
const NOW = Date.UTC(2026, 4, 2, 9, 0)
let solver: MilpSolver
beforeAll(async () => void (solver = highsSolver(await loadHighs())))
const LIMIT = { timeLimitSeconds: 20 }
const clock = (at: number) => new Date(at).toISOString().slice(11, 16)

interface Day {
  /** Minutes from now to each start: Rook's, Heron's. */
  starts: [number, number]
  /** Both cars in the first heat. */
  together?: boolean
  packs?: number
  channels?: number
  supplyW?: number
  more?: (w: Writer) => void
}

/** Two cars, a run each, empty packs of 5000 mAh that take about an hour at 1C. */
function raceDay(d: Day) {
  const b = testBoard()
  const m = { ...b.as('mechanic', 'ilse'), clock: { now: () => NOW } }
  const boss = { ...b.as('manager', 'boss'), clock: { now: () => NOW } }
  must(
    runEdit(boss, 'seed', (w) => {
      for (const car of ['rook', 'heron']) w.kit('cars', car, { name: car })
      for (let i = 1; i <= (d.packs ?? 2); i++)
        w.kit('packs', `p${i}`, {
          label: `P${i}`,
          cells: 2,
          capacityMah: 5000,
          resistanceMilliohm: 5,
          maxChargeC: 1,
          cycles: 10,
          state: w.stamp('resting'),
        })
      w.kit('supplies', 's', { label: 'Supply', powerW: d.supplyW ?? 1000 })
      w.kit('chargers', 'a', {
        label: 'A',
        channels: d.channels ?? 2,
        channelCurrentA: 10,
        channelPowerW: 200,
        supplyId: 's',
      })
      w.meeting('meeting', 'meeting', { stagingLeadSeconds: 300 })
      w.meeting('rounds', 'q1', { name: 'Q1', kind: 'qualifying' })
      w.meeting('classes', 'c', { name: 'C', raceSeconds: 300, cells: 2 })
      for (const [i, car] of ['rook', 'heron'].entries()) {
        w.meeting('heats', `h${i + 1}`, {
          number: i + 1,
          roundId: 'q1',
          classId: 'c',
          order: i,
          plannedStart: NOW + d.starts[i]! * MIN,
        })
        w.meeting('entries', `run-${car}`, { heatId: d.together ? 'h1' : `h${i + 1}`, carId: car })
      }
      d.more?.(w)
      return ok(undefined)
    }),
  )
  const runs = () => runsOf(b.view(), NOW)
  const input = () => planInput(b.view(), runs(), NOW)
  return { ...b, m, runs, input }
}
const solve = (input: ChargePlanInput) => {
  const out = solveChargePlan(input, solver, LIMIT)
  if (out.kind !== 'planned') throw new Error(out.kind)
  return out.plan
}

/** Take one way out of an impossible day, as the screen does, and give what the board then holds. */
function takeWay(day: ReturnType<typeof raceDay>, kind: WayKind) {
  const input = day.input()
  expect(solveChargePlan(input, solver, LIMIT).kind).toBe('impossible')
  const why = explainImpossible(input, solver, LIMIT)!
  const ways = waysOut(input, why, solver, 20)
  const way = ways.find((w) => w.step.kind === kind)
  if (!way) throw new Error(`no ${kind} among ${ways.map((w) => w.step.kind).join(', ')}`)
  const plan = solve(way.input)
  let n = 0
  const taken = wayOnBoard(day.view(), way.step, plan.uses, () => `id${++n}`)!
  must(takeWayOut(day.m, day.view(), taken))
  return { way, plan, taken }
}

describe('a way out that is taken stands on the board: asked again, the day is possible and the plan is the same', () => {
  const CASES: [WayKind, Day, RegExp][] = [
    ['borrowPack', { starts: [120, 130], packs: 1 }, /Adds “Lent 1” to the kit, a charged pack of 2 cells/],
    ['leaveOut', { starts: [120, 130], packs: 1 }, /stays without a pack/],
    ['addChannel', { starts: [85, 90], channels: 1 }, /Adds “Extra charger 1”/],
    ['morePower', { starts: [85, 90], supplyW: 60 }, /Enters \d+ W for Supply/],
    [
      'moreHands',
      { starts: [76, 90], together: true, more: (w) => w.meeting('meeting', 'meeting', { chargeHands: 1 }) },
      /2 packs can be put on charge/,
    ],
    [
      'waitLonger',
      {
        starts: [200, 220],
        together: true,
        channels: 1,
        more: (w) => w.meeting('meeting', 'meeting', { heldSeconds: 2400 }),
      },
      /may sit full for up to 1.2 h/,
    ],
    [
      'coolLess',
      {
        starts: [60, 184],
        packs: 1,
        more: (w) => {
          w.kit('packs', 'p1', { state: w.stamp('charged') })
          w.meeting('meeting', 'meeting', { coolDownSeconds: 2400 })
        },
      },
      /packs cool for 20.0 min/,
    ],
    ['lowerCharge', { starts: [72, 120] }, /planned with 80% of a charge/],
  ]
  it.each(CASES)('%s', (kind, set, words) => {
    const day = raceDay(set)
    const { taken, plan } = takeWay(day, kind)
    expect(taken.alsoWrites).toMatch(words)
    const input = day.input()
    const again = solve({ ...input, goals: replanGoals })
    expect(again.uses).toHaveLength(plan.uses.length)
    expect(checkPlan(input, again.uses)).toEqual([])
    // What was taken still is a plan in the board's own ids, and nobody is told that it no longer holds.
    expect(again.values.changes).toBe(0)
    expect(watchPlan(day.view(), day.runs(), NOW).troubles).toEqual([])
  })
})

it('a pack pinned by its charge is let go', () => {
  const day = raceDay({ starts: [120, 130], packs: 2, channels: 2 })
  must(takePlan(day.m, day.view(), solve(day.input()).uses.map(asPlannedPack)))
  for (const chargeId of ['run-rook', 'run-heron']) must(pinCharge(day.m, { chargeId, pinned: true }))
  must(
    runEdit(day.m, 'both on one channel', (w) => {
      for (const id of ['run-rook', 'run-heron'])
        w.meeting('charges', id, { channel: 1, plannedStart: NOW + 30 * MIN, plannedEnd: NOW + 95 * MIN })
      return ok(undefined)
    }),
  )
  const { taken } = takeWay(day, 'unpin')
  expect(taken.step.kind).toBe('unpin')
  expect(day.view().charges.live.filter((c) => c.pinned)).toHaveLength(1)
  expect(watchPlan(day.view(), day.runs(), NOW).troubles).toEqual([])
})

it('a pack that sits in the wrong car comes out of it', () => {
  const day = raceDay({ starts: [120, 130] })
  must(putPackIn(day.m, day.view(), { runId: 'run-rook', packId: 'p1' }))
  const step = { kind: 'unpin', pinId: 'in.run-rook', runId: 'run-rook' } as const
  const taken = wayOnBoard(day.view(), step, [], () => 'x')!
  expect(taken.alsoWrites).toMatch(/^Says that P1 is charged and out of the car/)
  must(takeWayOut(day.m, day.view(), taken))
  expect(day.input().pins).toEqual([])
  expect(day.view().packs.get('p1')?.state?.v).toBe('charged')
})

it('is undone in parts: a run left out is planned again, and the pit’s rules are the usual ones', () => {
  const day = raceDay({ starts: [120, 130], packs: 1 })
  takeWay(day, 'leaveOut')
  const left = day.view().runs.live.find((r) => r.leftOut)!
  expect(day.input().runs.map((r) => r.id)).not.toContain(left.id)
  must(planRunAgain(day.m, { runId: left.id }))
  expect(day.input().runs).toHaveLength(2)
  expect(watchPlan(day.view(), day.runs(), NOW).troubles.map((t) => t.kind)).toEqual(['no-pack'])
  must(takeWayOut(day.m, day.view(), { step: { kind: 'rules', chargeHands: 3 }, parts: [] }))
  expect(day.input().rules.handsPerStep).toBe(3)
  must(usualChargeRules(day.m))
  expect(day.input().rules.handsPerStep).toBe(2)
})

it('a driver can’t take one; nothing at all is written then', () => {
  const day = raceDay({ starts: [120, 130], packs: 1 })
  const parts = [{ runId: 'run-rook', packId: 'p1', charge: null }]
  const driver = day.as('driver', 'dana')
  const step = { kind: 'new-pack', packId: 'x', label: 'Lent 1', cells: 2 } as const
  expect(takeWayOut(driver, day.view(), { step, parts }).ok).toBe(false)
  expect(day.view().packs.get('x')).toBeUndefined()
  expect(day.view().runs.get('run-rook')?.packId).toBeUndefined()
})

it('a trial is shown run by run, with what it would change', () => {
  const day = raceDay({ starts: [120, 130], packs: 1 })
  const input = day.input()
  const why = explainImpossible(input, solver, LIMIT)!
  const way = waysOut(input, why, solver, 20).find((w) => w.step.kind === 'borrowPack')!
  const rows = wayRows(way.input, solve(way.input), clock)
  expect(rows.map((r) => r.run)).toEqual(['rook, heat 1', 'heron, heat 2'])
  expect(rows.map((r) => r.pack).sort()).toEqual(['P1', 'borrowed pack'])
  expect(rows.find((r) => r.pack === 'borrowed pack')).toMatchObject({
    charge: 'already full',
    change: 'new, on borrowed pack',
  })
  expect(rows.find((r) => r.pack === 'P1')?.charge).toMatch(/^\d\d:\d\d to \d\d:\d\d, A channel \d, 5 A$/)
})

it('a part of a proposal is kept as it is, and the rest stays as people know it', () => {
  const day = raceDay({ starts: [180, 190], packs: 3 })
  must(takePlan(day.m, day.view(), solve(day.input()).uses.map(asPlannedPack)))
  must(
    runEdit(day.as('manager', 'boss'), 'later', (w) => {
      for (const i of [1, 2]) w.meeting('heats', `h${i}`, { plannedStart: NOW + (240 + 10 * i) * MIN })
      return ok(undefined)
    }),
  )
  const proposal = solve(day.input())
  const changed = planParts(day.view(), day.runs(), proposal, clock).filter((p) => p.differences.length)
  expect(changed.map((p) => p.runId).sort()).toEqual(['run-heron', 'run-rook'])
  const input = day.input()
  const out = acceptParts(input.known ?? [], proposal.uses, ['run-rook'], input, solver, LIMIT)
  if (out.kind !== 'planned') throw new Error(out.kind)
  // Two steps of the clock are no news to the planner.
  const heron = (uses: readonly PlannedUse[]) => uses.find((u) => u.runId === 'run-heron')!
  const movedBy = (uses: readonly PlannedUse[]) =>
    (heron(uses).charge!.startAt - heron(input.known!).charge!.startAt) / MIN
  expect(heron(out.plan.uses).packId).toBe(heron(input.known!).packId)
  expect(movedBy(proposal.uses)).toBeGreaterThan(30)
  expect(Math.abs(movedBy(out.plan.uses))).toBeLessThanOrEqual(10)
  expect(out.plan.uses.find((u) => u.runId === 'run-rook')).toEqual(
    proposal.uses.find((u) => u.runId === 'run-rook'),
  )
})
