import loadHighs from 'highs'
import { describe, expect, it } from 'vitest'
import {
  addDuty,
  addJob,
  assignMechanic,
  assignMechanics,
  assignTires,
  removeDuty,
  runEdit,
  setStandIn,
  signDuty,
  signJob,
} from '@/lib/board'
import { crewInput, crewLoad, dayDuties, listFor, looseEnds, runsOf } from '@/lib/card'
import { ok } from '@/lib/core/result'
import { assignJobs, highsSolver, standInsFor } from '@/lib/planner'
import { sheetRows } from '@/app/board/[meetingId]/day-sheet/sheet-rows'
import { timeToday } from '@/app/board/[meetingId]/duties/time-today'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

const MIN = 60_000
const T0 = Date.UTC(2026, 4, 2, 10, 0)

/** Six heats ten minutes apart; Rook (Dana) in heat 1 and 5, Heron (Eli) in heat 2 and 5; Ilse works on both, Otto on none. */
function raceDay(over: { marshalRule?: 'table' | 'none' | 'after-own-heat'; maxTireSets?: number } = {}) {
  const b = testBoard()
  const m = b.as('manager', 'boss')
  must(
    runEdit(m, 'seed', (w) => {
      for (const [id, name, role] of [
        ['boss', 'Petra', 'manager'],
        ['ilse', 'Ilse', 'mechanic'],
        ['otto', 'Otto', 'mechanic'],
        ['dana', 'Dana', 'driver'],
        ['eli', 'Eli', 'driver'],
      ] as const) {
        w.kit('people', id, { name })
        // Roles are the server's to write; the board only shows them.
        b.docs.kit?.getMap('people').set(`${id}:role`, role)
      }
      w.kit('cars', 'rook', { name: 'Rook', driverId: 'dana', mechanicId: 'ilse' })
      w.kit('cars', 'heron', { name: 'Heron', driverId: 'eli', mechanicId: 'ilse' })
      for (const [i, runs] of [7, 0, 0, 0].entries())
        w.kit('tireSets', `t${i}`, { label: `T${i}`, runs, runsGood: 8 })
      w.meeting('meeting', 'meeting', {
        stagingLeadSeconds: 300,
        marshalRule: over.marshalRule ?? 'after-own-heat',
      })
      w.meeting('rounds', 'q1', { name: 'Qualifying 1', kind: 'qualifying' })
      w.meeting('classes', 'c', { name: 'Two-wheel', raceSeconds: 300, maxTireSets: over.maxTireSets })
      for (let i = 1; i <= 6; i++)
        w.meeting('heats', `h${i}`, {
          number: i,
          roundId: 'q1',
          classId: 'c',
          plannedStart: T0 + i * 10 * MIN,
          order: i,
        })
      for (const [id, heatId, carId] of [
        ['r1', 'h1', 'rook'],
        ['e1', 'h2', 'heron'],
        ['r2', 'h5', 'rook'],
        ['e2', 'h5', 'heron'],
      ] as const)
        w.meeting('entries', id, { heatId, carId })
      return ok(undefined)
    }),
  )
  const now = T0 - 60 * MIN
  const ends = () => looseEnds(b.view(), now)
  return { ...b, m, now, ends, duties: () => dayDuties(b.view(), now), runs: () => runsOf(b.view(), now) }
}

describe('marshal duty', () => {
  it('by the rule it follows one’s own heat; one duty for a driver with two cars', () => {
    const day = raceDay()
    expect(day.duties().duties.map((d) => `${d.heatId} ${d.doneBy}`)).toEqual([
      'h2 dana',
      'h3 eli',
      'h6 eli',
      'h6 dana',
    ])
  })

  it('by a table it is what was entered, and nothing else', () => {
    const day = raceDay({ marshalRule: 'table' })
    expect(day.duties().duties).toEqual([])
    must(addDuty(day.m, day.view(), { heatId: 'h4', personId: 'otto' }))
    expect(day.duties().duties).toMatchObject([{ heatId: 'h4', owedBy: 'otto', doneBy: 'otto' }])
    expect(listFor(day.duties(), 'otto', day.now).map((i) => i.words)).toEqual([
      'Marshal Heat 4, Qualifying 1',
    ])
    must(removeDuty(day.m, { heatId: 'h4', owedBy: 'otto' }))
    expect(day.duties().duties).toEqual([])
    expect(addDuty(day.m, day.view(), { heatId: 'nowhere', personId: 'otto' }).ok).toBe(false)
  })

  it('a table that clashes with an own run is a loose end, closed by a stand-in who is free', () => {
    const day = raceDay({ marshalRule: 'table' })
    must(addDuty(day.m, day.view(), { heatId: 'h5', personId: 'eli' }))
    const end = day.ends().find((e) => e.act.kind === 'stand-in')
    expect(end?.title).toBe('Eli drives in Heat 5, Qualifying 1 while due to marshal Heat 5, Qualifying 1')
    const { input, duties } = day.duties()
    const free = standInsFor(input, duties, duties[0]!)
    expect(free.map((f) => f.personId)).not.toContain('dana')
    must(setStandIn(day.m, { heatId: 'h5', owedBy: 'eli', standInId: free[0]!.personId }))
    expect(day.ends().some((e) => e.act.kind === 'stand-in')).toBe(false)
    expect(listFor(day.duties(), free[0]!.personId, day.now).map((i) => i.words)).toEqual([
      'Marshal Heat 5, Qualifying 1 for Eli',
    ])
    must(setStandIn(day.m, { heatId: 'h5', owedBy: 'eli', standInId: undefined }))
    expect(day.duties().duties[0]?.doneBy).toBe('eli')
  })

  it('is signed by anybody of the crew and taken back by the signer', () => {
    const day = raceDay()
    must(signDuty(day.as('driver', 'eli'), { heatId: 'h3', owedBy: 'eli', done: true }))
    expect(day.view().duties.get('h3.eli')?.done).toMatchObject({ by: 'eli' })
    expect(signDuty(day.as('driver', 'dana'), { heatId: 'h3', owedBy: 'eli', done: false }).ok).toBe(false)
    must(signDuty(day.as('driver', 'eli'), { heatId: 'h3', owedBy: 'eli', done: false }))
    expect(day.view().duties.get('h3.eli')?.done).toBeUndefined()
    expect(addDuty(day.as('driver', 'eli'), day.view(), { heatId: 'h4', personId: 'dana' }).ok).toBe(false)
  })
})

describe('jobs', () => {
  it('stand in their person’s list by their time until they are signed', () => {
    const day = raceDay()
    const late = must(addJob(day.m, { text: ' Glue the rears ', personId: 'dana', dueAt: T0 + 25 * MIN }))
    must(addJob(day.m, { text: 'Sweep', personId: 'dana' }))
    const words = () => listFor(day.duties(), 'dana', day.now).map((i) => i.words)
    expect(words()).toEqual([
      'Drive Heat 1, Qualifying 1',
      'Marshal Heat 2, Qualifying 1',
      'Glue the rears',
      'Drive Heat 5, Qualifying 1',
      'Marshal Heat 6, Qualifying 1',
    ])
    must(signJob(day.as('driver', 'dana'), { jobId: late, done: true }))
    expect(words()).not.toContain('Glue the rears')
    expect(addJob(day.m, { text: '  ' }).ok).toBe(false)
    expect(addJob(day.as('driver', 'dana'), { text: 'No' }).ok).toBe(false)
  })

  it.each([
    ['14:05', [14, 5]],
    ['9:30', [9, 30]],
    ['24:00', null],
    ['', null],
    ['7 o’clock', null],
  ])('the time %j is read in the device’s zone', (text, want) => {
    const at = timeToday(text, T0)
    expect(at === null ? null : [new Date(at).getHours(), new Date(at).getMinutes()]).toEqual(want)
    if (at !== null) expect(at).toBeGreaterThan(T0 - 12 * 60 * MIN)
  })
})

describe('hands', () => {
  it('one mechanic at two cars at once is seen, and who is free is named', () => {
    const day = raceDay()
    const load = crewLoad(day.view(), day.runs())
    expect(load.people.find((p) => p.personId === 'ilse')?.tasks).toHaveLength(4)
    const pairs = load.overlaps.map((o) => [o.first.runId, o.second.runId, o.personId])
    expect(pairs).toContainEqual(['e2', 'r2', 'ilse'])
    const same = load.overlaps.find((o) => o.second.runId === 'r2')
    expect(same?.forMs).toBe(20 * MIN)
    expect(['otto', 'boss']).toContain(same?.freePersonId)
    must(assignMechanic(day.m, day.view(), { runId: 'r2', personId: 'otto' }))
    const after = crewLoad(day.view(), day.runs())
    expect(after.overlaps.map((o) => o.second.runId)).not.toContain('r2')
  })

  it('shared out, nobody is needed twice, what people chose stays, and who marshals is left alone', async () => {
    const day = raceDay()
    must(assignMechanic(day.m, day.view(), { runId: 'r1', personId: 'otto' }))
    must(addDuty(day.m, day.view(), { heatId: 'h4', personId: 'otto' }))
    const input = crewInput(day.view(), day.runs(), day.duties(), day.now)
    expect(input.people.map((p) => p.id).sort()).toEqual(['boss', 'ilse', 'otto'])
    const plan = assignJobs(input, highsSolver(await loadHighs()))
    expect(plan).toMatchObject({ undone: [], proven: true })
    const work = plan?.work ?? []
    expect(work.find((w) => w.jobId === 'r1')?.personId).toBe('otto')
    // Otto stands at the track in heat 4, when both cars of heat 5 are worked on.
    expect(['r2', 'e2'].map((id) => work.find((w) => w.jobId === id)?.personId).sort()).toEqual([
      'boss',
      'ilse',
    ])
    for (const a of work)
      for (const c of work)
        if (a !== c && a.personId === c.personId)
          expect(a.endAt <= c.startAt || c.endAt <= a.startAt, `${a.jobId} ${c.jobId}`).toBe(true)
    must(
      assignMechanics(
        day.m,
        work.map((w) => ({ runId: w.jobId, personId: w.personId })),
      ),
    )
    for (const w of work) expect(day.view().runs.get(w.jobId)?.mechanicId?.v).toBe(w.personId)
  })

  it('a run without a mechanic is named', () => {
    const day = raceDay()
    must(assignMechanic(day.m, day.view(), { runId: 'r1', personId: null }))
    runEdit(day.m, 'none', (w) => {
      w.kit('cars', 'rook', { mechanicId: null })
      return ok(undefined)
    })
    expect(crewLoad(day.view(), day.runs()).unmanned.map((r) => r.runId)).toEqual(['r1', 'r2'])
  })
})

describe('tires', () => {
  const tireEnds = (day: ReturnType<typeof raceDay>) =>
    day.ends().filter((e) => e.id.startsWith('tire-limit:') || e.id.startsWith('tires-worn:'))

  it('one set more than the class allows is a loose end of the run that brings it', () => {
    const day = raceDay({ maxTireSets: 1 })
    must(assignTires(day.m, day.view(), { runId: 'r1', tireSetId: 't1' }))
    must(assignTires(day.m, day.view(), { runId: 'r2', tireSetId: 't1' }))
    expect(tireEnds(day)).toEqual([])
    must(assignTires(day.m, day.view(), { runId: 'r2', tireSetId: 't2' }))
    // Another driver's sets count for themselves.
    must(assignTires(day.m, day.view(), { runId: 'e1', tireSetId: 't3' }))
    expect(tireEnds(day)).toMatchObject([
      {
        title: 'Rook, heat 5: T2 would be tire set 2, Two-wheel allows 1',
        why: 'used before: T1',
        act: { kind: 'choose-tires', runIds: ['r2'] },
      },
    ])
  })

  it('without a limit there is none', () => {
    const day = raceDay({ maxTireSets: 0 })
    must(assignTires(day.m, day.view(), { runId: 'r1', tireSetId: 't1' }))
    must(assignTires(day.m, day.view(), { runId: 'r2', tireSetId: 't2' }))
    expect(tireEnds(day)).toEqual([])
  })

  it('a set promised to more runs than it has left is a loose end of the first that goes over', () => {
    const day = raceDay()
    must(assignTires(day.m, day.view(), { runId: 'r1', tireSetId: 't0' }))
    expect(tireEnds(day)).toEqual([])
    must(assignTires(day.m, day.view(), { runId: 'r2', tireSetId: 't0' }))
    expect(tireEnds(day)).toMatchObject([
      { title: 'Rook, heat 5: T0 will be past 8 runs', why: '7 so far, 1 assigned before this one' },
    ])
  })
})

it('the day sheet lists runs and duties of the day in order, and nothing of another day', () => {
  const day = raceDay()
  runEdit(day.m, 'tomorrow', (w) => {
    w.meeting('heats', 'h9', {
      number: 9,
      roundId: 'q2',
      classId: 'c',
      plannedStart: T0 + 24 * 60 * MIN,
      order: 9,
    })
    w.meeting('entries', 'r9', { heatId: 'h9', carId: 'rook' })
    return ok(undefined)
  })
  const rows = sheetRows(day.view(), day.runs(), day.duties(), day.now)
  expect(rows.map((r) => r.id)).toEqual(['r1', 'e1', 'marshal.h2', 'marshal.h3', 'e2', 'r2', 'marshal.h6'])
  expect(rows.at(-1)?.who).toBe('Eli, Dana')
  expect(rows[0]).toMatchObject({ kind: 'run', what: 'Rook, Two-wheel', who: 'Dana', hands: 'Ilse' })
})
