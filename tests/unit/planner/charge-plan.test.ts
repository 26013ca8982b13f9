import loadHighs from 'highs'
import { beforeAll, describe, expect, it } from 'vitest'
import { bigDay, chargeDay, smallDay, teamDay } from '../../support/planner-charge-days'
import { checkSmallDay } from '../../support/planner-days-checked'
import type {
  Goal,
  ChargePack,
  ChargePlan,
  ChargePlanInput,
  ChargeRun,
  MilpSolver,
  PlannedUse,
} from '@/lib/planner'
import {
  acceptParts,
  checkPlan,
  defaultGoals,
  explainImpossible,
  goalValues,
  greedyPlan,
  highsSolver,
  planDifferences,
  replan,
  solveChargePlan,
  waysOut,
} from '@/lib/planner'

const MIN = 60_000
const T0 = Date.UTC(2031, 4, 17, 8, 0)
let solver: MilpSolver
beforeAll(async () => {
  solver = highsSolver(await loadHighs())
})

const options = [
  { amps: 5, watts: 50, seconds: 2400 },
  { amps: 9, watts: 86, seconds: 1500 },
]
const pack = (id: string, change: Partial<ChargePack> = {}): ChargePack => ({
  id,
  label: id.toUpperCase(),
  state: 'empty',
  availableFrom: T0,
  cycles: 10,
  firstCharge: options,
  afterRun: options,
  ...change,
})
const run = (
  id: string,
  at: number,
  fits: readonly string[],
  change: Partial<ChargeRun> = {},
): ChargeRun => ({
  id,
  label: `run ${id}`,
  readyBy: T0 + at * MIN,
  freeAt: T0 + (at + 20) * MIN,
  importance: 1,
  fits: fits.map((packId) => ({ packId, mismatch: 0 })),
  ...change,
})
const day = (change: Partial<ChargePlanInput>): ChargePlanInput => ({
  now: T0,
  runs: [],
  packs: [],
  channels: [{ id: 'k1', label: 'channel 1', supplyId: 's', maxAmps: 10, maxWatts: 100 }],
  supplies: [{ id: 's', label: 'generator', maxWatts: 400 }],
  ongoing: [],
  pins: [],
  rules: {
    stepSeconds: 300,
    coolDownSeconds: 900,
    restSeconds: 300,
    maxHeldSeconds: 3600,
    heldAllowanceSeconds: 900,
    handsPerStep: null,
  },
  known: null,
  ...change,
})
const planned = (input: ChargePlanInput): ChargePlan => {
  const outcome = solveChargePlan(input, solver, { timeLimitSeconds: 30 })
  if (outcome.kind !== 'planned') throw new Error(outcome.kind)
  expect(checkPlan(input, outcome.plan.uses)).toEqual([])
  return outcome.plan
}

describe('charge plan against every plan there is', () => {
  // Seed 99 is a day on which the solver once called a plan best that was one step worse; 14 one on which it failed.
  const seeds = [14, 99, ...Array.from({ length: 78 }, (_, i) => 1001 + i)]
  it('has the least values, keeps the rules, and explains what is impossible by what alone makes it so', () => {
    const days = seeds.map((seed) => checkSmallDay(seed, solver))
    expect(days.filter((d) => d.wrong.length)).toEqual([])
    const impossible = days.filter((d) => d.impossible).length
    expect(impossible).toBeGreaterThan(15)
    expect(days.length - impossible).toBeGreaterThan(15)
  })
})

describe('charge plan of a team day', () => {
  it('is proven best for 48 runs on 20 packs and 4 channels', () => {
    const plan = planned(chargeDay(8, teamDay))
    expect(plan.proven).toBe(true)
    expect(plan.uses).toHaveLength(48)
    expect(plan.proof.map((p) => p.value)).toEqual([
      plan.values.match,
      plan.values.cycles,
      plan.values.held,
      plan.values.changes,
    ])
  })

  it('says what remains open when time runs out, and never calls it proven', () => {
    const outcome = solveChargePlan(chargeDay(1, bigDay), solver, { timeLimitSeconds: 0.3 })
    if (outcome.kind !== 'planned') expect(outcome.kind).toBe('undecided')
    else {
      expect(outcome.plan.proven).toBe(false)
      for (const p of outcome.plan.proof) expect(p.bound).toBeLessThanOrEqual(p.value)
    }
  })

  it('gives the better pack to the run that matters', () => {
    const fits = [
      { packId: 'a', mismatch: 0 },
      { packId: 'b', mismatch: 2 },
    ]
    const input = day({
      packs: [pack('a', { state: 'full' }), pack('b', { state: 'full' })],
      runs: [run('q', 60, [], { fits }), run('f', 70, [], { fits, importance: 3 })],
    })
    expect(planned(input).uses.map((u) => [u.runId, u.packId])).toEqual([
      ['q', 'b'],
      ['f', 'a'],
    ])
  })

  it('spreads cycles, and finishes just in time', () => {
    const input = day({
      packs: [pack('a', { cycles: 5 }), pack('b', { cycles: 70 }), pack('c', { cycles: 5 })],
      runs: [run('1', 100, ['a', 'b', 'c']), run('2', 220, ['a', 'b', 'c'])],
    })
    const plan = planned(input)
    expect(new Set(plan.uses.map((u) => u.packId))).toEqual(new Set(['a', 'c']))
    expect(plan.values.held).toBe(0)
    for (const u of plan.uses) {
      const readyBy = input.runs.find((r) => r.id === u.runId)!.readyBy
      expect(readyBy - u.charge!.endAt).toBeGreaterThanOrEqual(5 * MIN)
      expect(readyBy - u.charge!.endAt).toBeLessThanOrEqual(25 * MIN)
    }
  })

  it('keeps within the shared supply, ongoing charges, hands and pins', () => {
    const runs = [run('1', 60, ['a']), run('2', 60, ['b'])]
    const packs = [pack('a'), pack('b')]
    const channels = ['k1', 'k2'].map((id) => ({ id, label: id, supplyId: 's', maxAmps: 10, maxWatts: 100 }))
    const two = day({ runs, packs, channels })
    expect(planned(two).uses.every((u) => u.charge)).toBe(true)
    // 90 W let only one charge at a time of 25 min each, or two slow ones never.
    const weak = planned({ ...two, supplies: [{ id: 's', label: 'generator', maxWatts: 90 }] })
    const [a, b] = weak.uses.map((u) => u.charge!)
    expect(a!.endAt <= b!.startAt || b!.endAt <= a!.startAt).toBe(true)
    const busy = { packId: 'x', channelId: 'k1', until: T0 + 15 * MIN, watts: 50 }
    const later = planned({ ...two, ongoing: [busy] })
    for (const u of later.uses)
      if (u.charge!.channelId === 'k1') expect(u.charge!.startAt).toBeGreaterThanOrEqual(busy.until)
    const pinned = planned({
      ...two,
      pins: [{ id: 'n', runId: '1', channelId: 'k2', startAt: T0 + 20 * MIN }],
    })
    expect(pinned.uses[0]!.charge).toMatchObject({ channelId: 'k2', startAt: T0 + 20 * MIN })
    const slow = planned({ ...two, rules: { ...two.rules, handsPerStep: 1 } })
    expect(slow.uses[0]!.charge!.startAt).not.toBe(slow.uses[1]!.charge!.startAt)
  })

  it('lists what is to be brought to storage when the day is done', () => {
    const input = day({
      packs: [pack('a', { state: 'full' }), pack('b', { state: 'full' }), pack('c')],
      runs: [run('1', 60, ['a'])],
    })
    expect(planned(input).afterDay).toEqual([
      { packId: 'a', need: 'charge' },
      { packId: 'b', need: 'discharge' },
    ])
  })

  it('plans an empty day, and a run that no pack fits is impossible', () => {
    expect(planned(day({})).uses).toEqual([])
    const none = day({ packs: [pack('a')], runs: [run('1', 60, ['gone'])] })
    expect(solveChargePlan(none, solver, { timeLimitSeconds: 5 }).kind).toBe('impossible')
    const never = day({ packs: [pack('a')], runs: [run('1', NaN, ['a'])] })
    expect(solveChargePlan(never, solver, { timeLimitSeconds: 5 }).kind).toBe('impossible')
  })
})

describe('checker', () => {
  const input = day({
    packs: [pack('a'), pack('b')],
    runs: [run('1', 60, ['a', 'b']), run('2', 60, ['a', 'b'])],
  })
  const good = (): PlannedUse[] => structuredClone(planned({ ...input, runs: input.runs }).uses)
  const rules = (change: (uses: PlannedUse[]) => void, on: ChargePlanInput = input): number[] => {
    const uses = good()
    change(uses)
    return checkPlan(on, uses).map((f) => f.rule)
  }
  it('finds each broken rule', () => {
    expect(rules(() => undefined)).toEqual([])
    expect(rules((u) => void u.pop())).toContain(1)
    expect(rules((u) => void (u[0]!.packId = 'zzz'))).toContain(1)
    expect(rules((u) => void (u[0]!.charge!.startAt += 1000))).toContain(2)
    expect(rules((u) => void (u[0]!.charge!.endAt -= 5 * MIN))).toContain(2)
    expect(rules((u) => void (u[0]!.charge!.amps = 20))).toContain(2)
    expect(rules(() => undefined, { ...input, rules: { ...input.rules, restSeconds: 3000 } })).toContain(3)
    expect(rules(() => undefined, { ...input, rules: { ...input.rules, maxHeldSeconds: -600 } })).toContain(3)
    expect(rules((u) => void (u[0]!.charge = null))).toContain(4)
    expect(
      rules(() => undefined, {
        ...input,
        packs: input.packs.map((p) => ({ ...p, availableFrom: T0 + 50 * MIN })),
      }),
    ).toContain(4)
    expect(rules((u) => void (u[1]!.packId = u[0]!.packId))).toContain(5)
    expect(rules((u) => void (u[1]!.charge = { ...u[0]!.charge! }))).toContain(6)
    expect(rules(() => undefined, { ...input, supplies: [{ id: 's', label: 's', maxWatts: 20 }] })).toContain(
      6,
    )
    expect(rules(() => undefined, { ...input, rules: { ...input.rules, handsPerStep: 0 } })).toContain(7)
    expect(rules(() => undefined, { ...input, pins: [{ id: 'n', runId: '1', packId: 'c' }] })).toContain(8)
  })
})

describe('an impossible day', () => {
  const input = day({
    packs: [pack('p04'), pack('p07')],
    runs: [run('3', 35, ['p04']), run('4', 35, ['p07']), run('9', 300, ['p04'])],
  })
  it('is explained by who needs what when and what is in the way, and has ways out, the cheapest first', () => {
    const why = explainImpossible(input, solver, { timeLimitSeconds: 20 })!
    expect(why.irreducible).toBe(true)
    expect(why.facts.map((f) => f.id).sort()).toEqual(['channels:k1', 'need:3', 'need:4'])
    expect(why.words).toBe(
      'P04 and P07 are both needed at 08:35, for run 3 and run 4. Only channel 1 is there for charging, one pack at a time.',
    )
    const ways = waysOut(input, why, solver, 20)
    expect(ways.map((w) => w.step.kind)).toContain('addChannel')
    expect(ways.map((w) => w.cost)).toEqual([...ways.map((w) => w.cost)].sort((a, b) => a - b))
    for (const way of ways) planned(way.input)
  })
  it('has no explanation when it is possible', () => {
    const easy = day({ packs: [pack('a')], runs: [run('1', 60, ['a'])] })
    expect(explainImpossible(easy, solver, { timeLimitSeconds: 20 })).toBeNull()
  })
  it('leaves out several runs when no single step will do', () => {
    const hopeless = day({
      packs: [pack('a', { availableFrom: T0 + 500 * MIN })],
      runs: [run('1', 60, ['a']), run('2', 90, ['a'], { fits: [] }), run('3', 120, ['b'])],
    })
    const why = explainImpossible(hopeless, solver, { timeLimitSeconds: 20 })!
    const ways = waysOut(hopeless, why, solver, 20)
    expect(ways).toHaveLength(1)
    expect(ways[0]!.step).toMatchObject({ kind: 'leaveOut' })
    expect(ways[0]!.input.runs).toEqual([])
  })
})

describe('planning again', () => {
  const input = chargeDay(8, { cars: 6, rounds: 3, packs: 10, channels: 2 })
  const shifted: ChargePlanInput = {
    ...input,
    runs: input.runs.map((r) =>
      r.id.startsWith('r0') ? r : { ...r, readyBy: r.readyBy + 12 * MIN, freeAt: r.freeAt + 12 * MIN },
    ),
  }
  const proposal = (previous: readonly PlannedUse[], next: ChargePlanInput): ChargePlan => {
    const outcome = replan(previous, next, solver, { timeLimitSeconds: 30 })
    if (outcome.kind !== 'planned') throw new Error(outcome.kind)
    expect(checkPlan(next, outcome.plan.uses)).toEqual([])
    return outcome.plan
  }

  it('changes nothing when nothing has moved', () => {
    const before = planned(input).uses
    const again = proposal(before, input)
    expect(again.values.changes).toBe(0)
    expect(planDifferences(before, again.uses, input).filter((d) => d.kinds.includes('pack'))).toEqual([])
  })

  it('keeps every pack through a drift that allows it, and changes less than a fresh plan', () => {
    const before = planned(input).uses
    const again = proposal(before, shifted)
    const packs = (uses: readonly PlannedUse[]) =>
      planDifferences(before, uses, shifted).filter((d) => d.kinds.includes('pack')).length
    expect(packs(again.uses)).toBeLessThanOrEqual(packs(planned(shifted).uses))
    expect(packs(again.uses)).toBe(0)
  })

  it('plans around a dead pack and says what is different', () => {
    const before = planned(input).uses
    const dead = before[before.length - 1]!.packId
    const without: ChargePlanInput = {
      ...input,
      packs: input.packs.filter((p) => p.id !== dead),
      runs: input.runs.map((r) => ({ ...r, fits: r.fits.filter((f) => f.packId !== dead) })),
    }
    const again = proposal(before, without)
    const differences = planDifferences(before, again.uses, without)
    const lost = before.filter((u) => u.packId === dead).map((u) => u.runId)
    expect(differences.filter((d) => d.kinds.includes('pack')).map((d) => d.runId)).toEqual(
      expect.arrayContaining(lost),
    )
    expect(differences[0]!.words).toMatch(/: /)

    const [accepted] = differences
    const part = acceptParts(before, again.uses, [accepted!.runId], without, solver, { timeLimitSeconds: 30 })
    if (part.kind !== 'planned') throw new Error(part.kind)
    const use = part.plan.uses.find((u) => u.runId === accepted!.runId)!
    expect(use.packId).toBe(accepted!.after!.packId)
    expect(use.charge?.startAt).toBe(accepted!.after!.charge?.startAt)
    expect(checkPlan(without, part.plan.uses)).toEqual([])
  })

  it('names every kind of difference', () => {
    const use = (change: Partial<PlannedUse>): PlannedUse => ({
      runId: '1',
      packId: 'a',
      charge: null,
      ...change,
    })
    const charge = { channelId: 'k1', startAt: T0, endAt: T0 + 25 * MIN, amps: 5, watts: 50 }
    const on = day({ packs: [pack('a'), pack('b')], runs: [run('1', 60, ['a', 'b'])] })
    const words = (a: PlannedUse[], b: PlannedUse[]) => planDifferences(a, b, on).map((d) => d.words)
    expect(words([use({})], [use({})])).toEqual([])
    expect(words([], [use({})])).toEqual(['run 1: new, on A'])
    expect(words([use({})], [])).toEqual(['run 1: no longer planned'])
    expect(words([use({})], [use({ packId: 'b' })])).toEqual(['run 1: B instead of A'])
    expect(words([use({})], [use({ charge })])).toEqual(['run 1: charge from 08:00 on channel 1'])
    expect(words([use({ charge })], [use({})])).toEqual(['run 1: no charge, the pack is full'])
    const later = { ...charge, startAt: T0 + 15 * MIN, channelId: 'k2', amps: 9 }
    expect(words([use({ charge })], [use({ charge: later })])).toEqual([
      'run 1: charge from 08:15 instead of 08:00, on k2 instead of channel 1, at 9 A instead of 5 A',
    ])
  })
})

describe('greedy plan', () => {
  it('keeps the rules as far as it gets, and is never better', () => {
    let failed = 0
    for (let seed = 1; seed <= 60; seed++) {
      const input = { ...smallDay(seed), pins: [] }
      const greedy = greedyPlan(input)
      const outcome = solveChargePlan(input, solver, { timeLimitSeconds: 30 })
      if (greedy.failed) {
        failed++
        continue
      }
      expect(checkPlan(input, greedy.uses)).toEqual([])
      if (outcome.kind !== 'planned') throw new Error(`${seed}: ${outcome.kind}`)
      const goals: readonly Goal[] = input.goals ?? defaultGoals
      const other = goalValues(input, greedy.uses)
      const first = goals.find((g) => outcome.plan.values[g] !== other[g])
      if (first) expect(outcome.plan.values[first], `seed ${seed}, ${first}`).toBeLessThan(other[first])
    }
    expect(failed).toBeGreaterThan(0)
  })
})
