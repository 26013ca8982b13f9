import { describe, expect, it } from 'vitest'
import { dutyClashes, marshalDuties, personalList, standInsFor } from '@/lib/planner'
import type { DutyHeat, DutyInput, MarshalRule } from '@/lib/planner'

const T0 = Date.UTC(2031, 4, 17, 8, 0)
const MIN = 60_000
const heat = (id: string, round: string, at: number): DutyHeat => ({
  id,
  round,
  label: `Heat ${id}`,
  expectedStart: T0 + at * MIN,
  expectedFinish: T0 + at * MIN + 5.5 * MIN,
})
const rounds = [
  heat('1a', 'Q1', 0),
  heat('1b', 'Q1', 8),
  heat('1c', 'Q1', 16),
  heat('2a', 'Q2', 40),
  heat('2b', 'Q2', 48),
  heat('2c', 'Q2', 56),
]
const people = ['Ada', 'Ben', 'Cleo', 'Dov'].map((name) => ({ id: name.toLowerCase(), name }))
const after: MarshalRule = { kind: 'afterOwn', firstHeatBy: 'lastOfSameRound' }
const day = (change: Partial<DutyInput> = {}): DutyInput => ({
  heats: rounds,
  people,
  runs: [
    { heatId: '1a', personId: 'ada', carId: 'a1' },
    { heatId: '1c', personId: 'ben', carId: 'b1' },
    { heatId: '2a', personId: 'ada', carId: 'a1' },
    { heatId: '2c', personId: 'ben', carId: 'b1' },
  ],
  rule: after,
  substitutions: [],
  jobs: [],
  minimumGapSeconds: 600,
  stagingLeadSeconds: 300,
  ...change,
})
const short = (input: DutyInput) => marshalDuties(input).map((d) => `${d.doneBy ?? '-'} ${d.heatId}`)

describe('marshal duties', () => {
  it('follow the own heat, and the last heat of a round marshals its first', () => {
    expect(short(day())).toEqual(['ben 1a', 'ada 1b', 'ben 2a', 'ada 2b'])
  })
  it('can give the first heat to the round before, or to nobody', () => {
    const rule = (firstHeatBy: 'lastOfPreviousRound' | 'nobody'): MarshalRule => ({
      kind: 'afterOwn',
      firstHeatBy,
    })
    expect(
      marshalDuties(day({ rule: rule('lastOfPreviousRound') })).find((d) => d.heatId === '2a')?.becauseOf,
    ).toBe('1c')
    expect(short(day({ rule: rule('nobody') }))).toEqual(['ada 1b', 'ada 2b'])
  })
  it('can come from a table, and from none', () => {
    const rule: MarshalRule = {
      kind: 'table',
      rows: [
        { heatId: '1c', driversOf: '1a' },
        { heatId: 'gone', driversOf: '1a' },
      ],
    }
    expect(short(day({ rule }))).toEqual(['ada 1c'])
    expect(short(day({ rule: { kind: 'none' } }))).toEqual([])
  })
  it('skip a dropped heat: its marshals go to the heat that now follows their own', () => {
    const heats = rounds.map((h) => (h.id === '1b' ? { ...h, dropped: true } : h))
    expect(short(day({ heats }))).toEqual(['ben 1a', 'ada 1c', 'ben 2a', 'ada 2b'])
  })
  it('count a driver with two cars in a heat once', () => {
    const runs = [...day().runs, { heatId: '1a', personId: 'ada', carId: 'a2' }]
    expect(short(day({ runs })).filter((d) => d === 'ada 1b')).toHaveLength(1)
  })
  it('are taken over by a substitute or excused', () => {
    const substitutions = [
      { heatId: '1b', personId: 'ada', standInId: 'dov' },
      { heatId: '1a', personId: 'ben', standInId: null },
    ]
    expect(short(day({ substitutions }))).toEqual(['- 1a', 'dov 1b', 'ben 2a', 'ada 2b'])
  })
})

describe('clashes of duties', () => {
  const kinds = (input: DutyInput) =>
    dutyClashes(input, marshalDuties(input)).map((c) => `${c.personId} ${c.heatId} ${c.kind} ${c.otherId}`)
  it('are none on a day without any', () => expect(kinds(day())).toEqual([]))
  it('name an own run in another class at the same time', () => {
    const runs = [...day().runs, { heatId: '1b', personId: 'ada', carId: 'a2' }]
    expect(kinds(day({ runs }))).toContain('ada 1b ownRun 1b')
  })
  it('name too short a gap to the own next run, by the forecast', () => {
    const runs = [...day().runs, { heatId: '1c', personId: 'ada', carId: 'a2' }]
    const rule: MarshalRule = { kind: 'afterOwn', firstHeatBy: 'nobody' }
    expect(kinds(day({ runs, rule }))).toEqual(['ada 1b tooShort 1c'])
    expect(kinds(day({ runs, rule, minimumGapSeconds: 60 }))).toEqual([])
    // Driving the last heat too, she would owe the first one, in which she drives herself.
    expect(kinds(day({ runs }))).toContain('ada 1a ownRun 1a')
  })
  it('name a job at the same time, also a single act', () => {
    const job = {
      id: 'j',
      personId: 'ada',
      what: 'Change pinion',
      from: T0 + 10 * MIN,
      deadline: T0 + 10 * MIN,
      kind: 'job' as const,
    }
    const found = dutyClashes(day({ jobs: [job] }), marshalDuties(day()))
    expect(found.map((c) => c.kind)).toEqual(['job'])
    expect(found[0]!.words).toBe('Ada is due to marshal Heat 1b during “Change pinion”')
    expect(kinds(day({ jobs: [{ ...job, from: T0 + 14 * MIN, deadline: T0 + 15 * MIN }] }))).toEqual([])
  })
  it('name a stand-in who already marshals that heat', () => {
    const input = day({
      substitutions: [{ heatId: '1b', personId: 'ada', standInId: 'ben' }],
      runs: [...day().runs, { heatId: '1a', personId: 'ben', carId: 'b2' }],
    })
    expect(kinds(input)).toEqual(expect.arrayContaining(['ben 1b twice 1b']))
  })
})

describe('stand-ins', () => {
  it('are those without a clash, the least loaded first', () => {
    const runs = [
      ...day().runs,
      { heatId: '1b', personId: 'ada', carId: 'a2' },
      { heatId: '2b', personId: 'cleo', carId: 'c1' },
    ]
    const input = day({ runs })
    const duties = marshalDuties(input)
    const duty = duties.find((d) => d.heatId === '1b' && d.owedBy === 'ada')!
    const found = standInsFor(input, duties, duty)
    // Ben drives the next heat within ten minutes; Dov has no duty, Cleo has one.
    expect(found.map((s) => s.personId)).toEqual(['dov', 'cleo'])
    expect(found[0]!.slackSeconds).toBeNull()
    expect(found[1]!.slackSeconds).toBe(48 * 60 - 13.5 * 60)
    const taken = day({ runs, substitutions: [{ heatId: '1b', personId: 'ada', standInId: 'dov' }] })
    expect(dutyClashes(taken, marshalDuties(taken)).filter((c) => c.heatId === '1b')).toEqual([])
  })
  it('leave out those who may not marshal', () => {
    const input = day({ people: people.map((p) => ({ ...p, mayMarshal: p.id !== 'dov' })) })
    const duties = marshalDuties(input)
    expect(standInsFor(input, duties, duties[1]!).map((s) => s.personId)).not.toContain('dov')
  })
})

describe("a person's own list", () => {
  it('holds runs, duties and jobs in order of deadline', () => {
    const jobs = [
      {
        id: 'p4',
        personId: 'ada',
        what: 'Put P04 on channel 2',
        from: T0 + 20 * MIN,
        deadline: T0 + 20 * MIN,
        kind: 'chargeStart' as const,
      },
      { id: 'x', personId: 'ben', what: 'Other', from: T0, deadline: T0, kind: 'job' as const },
    ]
    const input = day({ jobs })
    const list = personalList(input, marshalDuties(input), 'ada')
    expect(list.map((i) => i.words)).toEqual([
      'Drive Heat 1a',
      'Marshal Heat 1b',
      'Put P04 on channel 2',
      'Drive Heat 2a',
      'Marshal Heat 2b',
    ])
    expect(list.map((i) => i.deadline)).toEqual([-5, 3, 20, 35, 43].map((m) => T0 + m * MIN))
    expect(new Set(list.map((i) => i.id)).size).toBe(5)
  })
  it('reorders when the forecast moves and keeps its ids', () => {
    const input = day()
    const late = day({
      heats: rounds.map((h) =>
        h.id === '1b' ? { ...h, expectedStart: T0 + 60 * MIN, expectedFinish: T0 + 66 * MIN } : h,
      ),
    })
    const before = personalList(input, marshalDuties(input), 'ada').map((i) => i.id)
    const now = personalList(late, marshalDuties(late), 'ada').map((i) => i.id)
    expect(now).not.toEqual(before)
    expect([...now].sort()).toEqual([...before].sort())
  })
  it('says for whom a duty is done', () => {
    const input = day({ substitutions: [{ heatId: '1b', personId: 'ada', standInId: 'dov' }] })
    expect(personalList(input, marshalDuties(input), 'dov').map((i) => i.words)).toEqual([
      'Marshal Heat 1b for Ada',
    ])
  })
})
