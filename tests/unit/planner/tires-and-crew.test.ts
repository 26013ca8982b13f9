import loadHighs from 'highs'
import { beforeAll, describe, expect, it } from 'vitest'
import { seededRandom } from '../../support/planner-forecast-days'
import type { CrewInput, CrewJob, MilpSolver, TireInput, TireRun, TireSet } from '@/lib/planner'
import { assignJobs, assignTires, highsSolver } from '@/lib/planner'

const MIN = 60_000
const T0 = Date.UTC(2031, 4, 17, 8, 0)
let solver: MilpSolver
beforeAll(async () => {
  solver = highsSolver(await loadHighs())
})

const set = (id: string, change: Partial<TireSet> = {}): TireSet => ({
  id,
  label: id,
  runsLeft: 5,
  used: false,
  ...change,
})
const run = (
  id: string,
  carId: string,
  at: number,
  fits: Record<string, number>,
  importance = 1,
  limitId: string | null = null,
): TireRun => ({
  id,
  label: `run ${id}`,
  carId,
  readyBy: T0 + at * MIN,
  freeAt: T0 + (at + 20) * MIN,
  importance,
  limitId,
  fits: Object.entries(fits).map(([setId, mismatch]) => ({ setId, mismatch })),
})
const tires = (change: Partial<TireInput>): TireInput => ({
  runs: [],
  sets: [],
  limits: [],
  changeSeconds: 300,
  pins: [],
  onCars: [],
  known: [],
  ...change,
})

describe('tires', () => {
  it('put the best set on the final, and keep one set on a car when nothing is lost by it', () => {
    const fits = { a: 0, b: 1 }
    const plan = assignTires(
      tires({
        sets: [set('a', { runsLeft: 1 }), set('b', { used: true })],
        runs: [run('q1', 'c', 0, fits), run('q2', 'c', 60, fits), run('f', 'c', 120, fits, 3)],
      }),
      solver,
    )!
    expect(plan.uses).toEqual([
      { runId: 'q1', setId: 'b' },
      { runId: 'q2', setId: 'b' },
      { runId: 'f', setId: 'a' },
    ])
    expect(plan.values).toEqual({ unshod: 0, mismatch: 2, newSets: 1, changes: 1, news: 0 })
    expect(plan.proven).toBe(true)
  })

  it("keep to the meeting's sets, counting those already used, and say so of the run that goes without", () => {
    const limits = [{ id: 'l', label: 'sets a driver may use in the class', maxSets: 2, usedSetIds: ['a'] }]
    const sets = [set('a', { used: true, runsLeft: 1 }), set('b', { runsLeft: 1 }), set('c', { runsLeft: 1 })]
    const fits = { a: 0, b: 0, c: 0 }
    const runs = [
      run('1', 'x', 0, fits, 1, 'l'),
      run('2', 'x', 60, fits, 1, 'l'),
      run('3', 'x', 120, fits, 3, 'l'),
    ]
    const plan = assignTires(tires({ sets, runs, limits }), solver)!
    expect(plan.unshod).toHaveLength(1)
    expect(plan.unshod[0]!.runId).not.toBe('3')
    expect(plan.unshod[0]!.words).toContain(
      'no set is left within sets a driver may use in the class (2 sets)',
    )
  })

  it('count a set against each driver who uses it, and only in the runs that count', () => {
    const limits = ['ada', 'ben'].map((who) => ({ id: who, label: who, maxSets: 1, usedSetIds: [] }))
    const sets = [set('a', { runsLeft: 3 }), set('b', { runsLeft: 1 })]
    const fits = { a: 0, b: 0 }
    const plan = assignTires(
      tires({
        sets,
        limits,
        runs: [
          run('1', 'x', 0, fits, 1, 'ada'),
          run('2', 'x', 120, fits, 1, 'ada'),
          run('3', 'y', 60, fits, 1, 'ben'),
          run('p', 'y', 180, fits, 0),
        ],
      }),
      solver,
    )!
    expect(plan.unshod).toEqual([])
    const by = new Map(plan.uses.map((u) => [u.runId, u.setId]))
    expect([by.get('1'), by.get('2'), by.get('3')]).toEqual(['a', 'a', 'a'])
    expect(by.get('p'), 'practice counts against nobody').toBe('b')
  })

  it('leave on the car what is on it, and leave what people know where nothing is lost', () => {
    const fits = { a: 0, b: 0 }
    const sets = [set('a', { used: true }), set('b', { used: true })]
    const runs = [run('1', 'x', 0, fits), run('2', 'y', 10, fits)]
    const on = (onCars: TireInput['onCars'], known: TireInput['known']) =>
      assignTires(tires({ sets, runs, onCars, known }), solver)!
    const mounted = on([{ carId: 'x', setId: 'b' }], [{ runId: '1', setId: 'a' }])
    expect(mounted.uses).toContainEqual({ runId: '1', setId: 'b' })
    expect(mounted.values).toMatchObject({ changes: 0, news: 1 })
    const known = on([], [{ runId: '2', setId: 'a' }])
    expect(known.uses).toEqual([
      { runId: '1', setId: 'b' },
      { runId: '2', setId: 'a' },
    ])
    expect(known.values.news).toBe(0)
  })

  it('are never on two cars at once, and stay where people put them', () => {
    const fits = { a: 0, b: 2 }
    const runs = [run('1', 'x', 0, fits), run('2', 'y', 10, fits)]
    const sets = [set('a'), set('b')]
    const plan = assignTires(tires({ sets, runs }), solver)!
    expect(new Set(plan.uses.map((u) => u.setId)).size).toBe(2)
    const pinned = assignTires(tires({ sets, runs, pins: [{ runId: '2', setId: 'a' }] }), solver)!
    expect(pinned.uses).toContainEqual({ runId: '2', setId: 'a' })
    expect(assignTires(tires({}), solver)!.uses).toEqual([])
  })

  it('are as good as the best of all assignments on small random days', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const u = seededRandom(seed)
      const whole = (n: number) => Math.floor(u() * n)
      const sets = ['a', 'b', 'c'].map((id) => set(id, { runsLeft: whole(3), used: u() < 0.4 }))
      const runs = Array.from({ length: 4 }, (_, i) =>
        run(
          `${i}`,
          u() < 0.5 ? 'x' : 'y',
          whole(90),
          { a: whole(3), b: whole(3), c: whole(3) },
          whole(3),
          u() < 0.7 ? 'l' : null,
        ),
      )
      const some = () => ['a', 'b', 'c'].filter(() => u() < 0.3)
      const input = tires({
        sets,
        runs,
        limits: [{ id: 'l', label: 'limit', maxSets: 1 + whole(2), usedSetIds: some() }],
        onCars: some().map((setId) => ({ carId: u() < 0.5 ? 'x' : 'y', setId })),
        known: some().map((setId, i) => ({ runId: `${i}`, setId })),
      })
      const plan = assignTires(input, solver)!
      expect(plan.proven).toBe(true)
      const { unshod, mismatch, newSets, changes, news } = plan.values
      expect([unshod, mismatch, newSets, changes, news], `seed ${seed}`).toEqual(bestTires(input))
    }
  })
})

function bestTires(input: TireInput): number[] {
  const runs = [...input.runs].sort((a, b) => a.readyBy - b.readyBy)
  const change = input.changeSeconds * 1000
  let best: number[] | null = null
  const choose = (chosen: (string | null)[]): void => {
    if (chosen.length < runs.length) {
      for (const id of [null, ...input.sets.map((s) => s.id)]) choose([...chosen, id])
      return
    }
    for (const s of input.sets) {
      const own = runs.filter((_, i) => chosen[i] === s.id)
      if (own.length > s.runsLeft) return
      for (const a of own)
        for (const b of own) if (a !== b && a.readyBy <= b.readyBy && a.freeAt + change > b.readyBy) return
    }
    const isNew = (id: string) => !input.sets.find((s) => s.id === id)!.used
    const opened = [...new Set(chosen.filter((c): c is string => c !== null && isNew(c)))]
    for (const l of input.limits) {
      const counted = new Set(l.usedSetIds)
      runs.forEach((r, i) => {
        if (r.limitId === l.id && chosen[i]) counted.add(chosen[i])
      })
      if (counted.size > l.usedSetIds.length && counted.size > l.maxSets) return
    }
    const value = [0, 0, opened.length, 0, 0]
    runs.forEach((r, i) => {
      const c = chosen[i]
      if (c === null || c === undefined) value[0]! += r.importance + 1
      else value[1]! += r.importance * r.fits.find((f) => f.setId === c)!.mismatch
      const before = runs.slice(0, i).findLastIndex((x) => x.carId === r.carId)
      if (c && before >= 0 && chosen[before] !== c) value[3]! += 1
      const on = input.onCars.filter((o) => o.carId === r.carId)
      if (c && before < 0 && on.length && !on.some((o) => o.setId === c)) value[3]! += 1
      const known = input.known.find((k) => k.runId === r.id)
      if (c && known && known.setId !== c) value[4]! += 1
    })
    const first = best ? value.findIndex((v, i) => v !== best![i]) : 0
    if (!best || (first >= 0 && value[first]! < best[first]!)) best = value
  }
  choose([])
  return best!
}

describe('crew', () => {
  const job = (
    id: string,
    from: number,
    deadline: number,
    minutes: number,
    change: Partial<CrewJob> = {},
  ): CrewJob => ({
    id,
    what: `Job ${id}`,
    from: T0 + from * MIN,
    deadline: T0 + deadline * MIN,
    seconds: minutes * 60,
    importance: 1,
    able: [
      { personId: 'ada', mismatch: 0 },
      { personId: 'ben', mismatch: 0 },
    ],
    ...change,
  })
  const crew = (jobs: CrewJob[], change: Partial<CrewInput> = {}): CrewInput => ({
    jobs,
    people: [
      { id: 'ada', name: 'Ada', busy: [] },
      { id: 'ben', name: 'Ben', busy: [] },
    ],
    stepSeconds: 300,
    ...change,
  })

  it('share the load evenly and begin early', () => {
    const plan = assignJobs(crew([1, 2, 3, 4].map((i) => job(`${i}`, 0, 60, 10))), solver)!
    expect(plan.load.map((l) => l.steps)).toEqual([4, 4])
    expect(plan.work.map((w) => (w.startAt - T0) / MIN)).toEqual([0, 0, 10, 10])
    expect(plan.proven).toBe(true)
  })
  it('work around runs and marshal duty, and go to whom they suit', () => {
    const people = [
      { id: 'ada', name: 'Ada', busy: [{ from: T0, to: T0 + 20 * MIN }] },
      { id: 'ben', name: 'Ben', busy: [] },
    ]
    const own = job('1', 0, 40, 15, {
      able: [
        { personId: 'ada', mismatch: 0 },
        { personId: 'ben', mismatch: 1 },
      ],
    })
    const plan = assignJobs(crew([own], { people }), solver)!
    expect(plan.work).toEqual([{ jobId: '1', personId: 'ada', startAt: T0 + 20 * MIN, endAt: T0 + 35 * MIN }])
    const sooner = assignJobs(crew([{ ...own, deadline: T0 + 20 * MIN }], { people }), solver)!
    expect(sooner.work[0]!.personId).toBe('ben')
  })
  it('leave the least important job undone, and say why', () => {
    const plan = assignJobs(
      crew([
        job('1', 0, 20, 20, { importance: 3 }),
        job('2', 0, 20, 20),
        job('3', 0, 20, 15, { importance: 0 }),
      ]),
      solver,
    )!
    expect(plan.undone).toEqual([
      { jobId: '3', words: 'Job 3: everyone who could is busy with something more urgent' },
    ])
    const short = assignJobs(crew([job('4', 0, 10, 20), job('5', 0, 60, 5, { able: [] })]), solver)!
    expect(short.undone.map((u) => u.words)).toEqual([
      'Job 4: 20 min of work, and 10 min for it',
      'Job 5: nobody here can do it',
    ])
  })
  it('stay with whom people gave them', () => {
    const plan = assignJobs(
      crew([job('1', 0, 60, 10, { pinnedTo: 'ben' }), job('2', 0, 60, 10, { pinnedTo: 'ben' })]),
      solver,
    )!
    expect(plan.work.every((w) => w.personId === 'ben')).toBe(true)
  })
  it('never give one person two things at once on random days', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const u = seededRandom(seed)
      const jobs = Array.from({ length: 7 }, (_, i) => {
        const from = Math.floor(u() * 40)
        return job(`${i}`, from, from + 10 + Math.floor(u() * 50), 5 + Math.floor(u() * 15), {
          importance: Math.floor(u() * 3),
        })
      })
      const plan = assignJobs(crew(jobs), solver)!
      expect(plan.work.length + plan.undone.length).toBe(jobs.length)
      for (const w of plan.work) {
        const of = jobs.find((j) => j.id === w.jobId)!
        expect(w.startAt).toBeGreaterThanOrEqual(of.from)
        expect(w.endAt).toBeLessThanOrEqual(of.deadline)
        for (const o of plan.work)
          if (o !== w && o.personId === w.personId)
            expect(o.endAt <= w.startAt || w.endAt <= o.startAt).toBe(true)
      }
    }
  })
  it('has no work on an empty day', () => {
    expect(assignJobs(crew([]), solver)!.work).toEqual([])
  })
})
