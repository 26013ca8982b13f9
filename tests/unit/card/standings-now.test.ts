import { describe, expect, test } from 'vitest'
import { addEntry, changeNamedFields, noteResult, type RunResult } from '@/lib/board'
import { goalsOf, rulesOfClass, standingsNow } from '@/lib/card'
import { finalOf } from '@/lib/card/standings/class-results'
import type { Json } from '@/lib/core/json'
import { frozenBoard } from '@/lib/derived'
import { must } from '../../support/must'
import { firstRound, importText, raceMeeting, resultFile } from '../../support/results-board'
import type { Board } from '../../support/running-order-board'

const standings = (b: Board, classId: string) => standingsNow(frozenBoard(b.view(), 0), classId)
const START = Date.UTC(2026, 9, 10, 9)
const rule = (b: Board, classId: string, fields: Record<string, Json>) =>
  must(changeNamedFields(b.m, 'meeting', 'classes', classId, fields))
const nameIn = (s: ReturnType<typeof standings>) => (id: string | undefined) =>
  s.drivers.find((d) => d.id === id)?.name

/** The first round of the demo's meeting, imported whole. */
function afterFirstRound(): Board {
  const b = raceMeeting()
  importText(b, resultFile('saltmarsh-q1-round.csv'), firstRound(b))
  return b
}

describe('where a class stands', () => {
  test('after the first round everybody is placed by laps and time over all heats, as the list itself says', () => {
    const b = afterFirstRound()
    const s = standings(b, 'mod-2wd')
    expect(s.problems).toEqual([])
    expect(s.qualifying.series.rounds.map((r) => [r.name, r.isComplete])).toEqual([
      ['Qualifying 1', true],
      ['Qualifying 2', false],
      ['Qualifying 3', false],
    ])
    // The list, read and sorted without the code under test.
    const listed = resultFile('saltmarsh-q1-round.csv')
      .trim()
      .split(/\r?\n/)
      .slice(1)
      .map((line) => line.split(','))
      .filter(([heat]) => Number(heat) <= 5)
      .map(([, , driver, , laps, time]) => {
        const [m, sec] = (time || '0:0').split(':')
        return { driver, laps: Number(laps), seconds: Number(m) * 60 + Number(sec) }
      })
      .filter((r) => r.laps > 0)
      .sort((x, y) => y.laps - x.laps || x.seconds - y.seconds)
    expect(s.qualifying.table.slice(0, listed.length).map((r) => nameIn(s)(r.driver))).toEqual(
      listed.map((r) => r.driver),
    )
    expect(s.qualifying.table.at(-1)!.rounds[0]!.place).toBeNull()
    // The team's own are known by their cars.
    expect(s.drivers.filter((d) => d.carId).length).toBeGreaterThan(0)
  })

  test('a round without times comes after those that have them, and its heats by their place in the running order', () => {
    const b = afterFirstRound()
    const third = b.view().rounds.live.find((r) => r.name === 'Qualifying 3')!.id
    for (const h of b.view().heats.live.filter((x) => x.roundId === third))
      must(changeNamedFields(b.m, 'meeting', 'heats', h.id, { plannedStart: null }))
    expect(standings(b, 'mod-2wd').qualifying.series.rounds.map((r) => r.name)).toEqual([
      'Qualifying 1',
      'Qualifying 2',
      'Qualifying 3',
    ])
  })

  test('a list that comes later counts by time at once, by place when the round is run; a few results alone do not count as a list', () => {
    const b = afterFirstRound()
    const before = standings(b, 'mod-2wd')
    const view = b.view()
    const q2 = view.rounds.live.find((r) => r.name === 'Qualifying 2')!.id
    const heat = view.heats.live.find((h) => h.roundId === q2 && h.classId === 'mod-2wd')!
    const entries = view.entries.live.filter((e) => e.heatId === heat.id)
    const run = (at: number): RunResult => ({ laps: 13, seconds: 300 + at })
    must(noteResult(b.m, b.view(), { runId: entries[0]!.id, result: run(0) }))
    expect(standings(b, 'mod-2wd').problems).toEqual([
      `Qualifying 2: results of heat ${heat.number} (1 of ${entries.length} are in) are missing. Import the whole list, or enter who did not start.`,
    ])
    entries.forEach((e, at) => must(noteResult(b.m, b.view(), { runId: e.id, result: run(at) })))
    const after = standings(b, 'mod-2wd')
    expect(after.problems).toEqual([])
    expect(after.qualifying.series.rounds[1]!.isComplete).toBe(false)
    // Places of one heat are none of the round yet: what is shown of it moves nobody.
    const counted = (s: ReturnType<typeof standings>) =>
      s.qualifying.table.map((r) => [r.driver, r.place, r.points, r.counted])
    expect(counted(after)).toEqual(counted(before))
    expect(after.qualifying.table.filter((r) => r.rounds[1]).length).toBe(entries.length)
    rule(b, 'mod-2wd', { roundScore: 'laps-and-time' })
    expect(standings(b, 'mod-2wd').qualifying.table[0]!.counted).toEqual([1])
  })

  test('a heat of which more than half was typed one by one is not run yet, and one that nobody is in is not waited for', () => {
    const b = raceMeeting()
    const view = b.view()
    const q1 = view.rounds.live.find((r) => r.name === 'Qualifying 1')!.id
    const heats = view.heats.live.filter((h) => h.roundId === q1 && h.classId === 'mod-2wd')
    let minutes = 0
    const type = (runId: string) => {
      const at = START + ++minutes * 60_000
      const ctx = { ...b.m, clock: { ...b.m.clock, now: () => at } }
      must(noteResult(ctx, b.view(), { runId, result: { laps: 12, seconds: 300 + minutes } }))
    }
    const [first = [], ...others] = heats.map((h) => view.entries.live.filter((e) => e.heatId === h.id))
    for (const e of others.flat()) type(e.id)
    for (const e of first.slice(0, -2)) type(e.id)
    const q = () => standings(b, 'mod-2wd').qualifying.series.rounds[0]!
    expect(q().isComplete).toBe(false)
    expect(standings(b, 'mod-2wd').problems).toEqual([
      `Qualifying 1: results of heat ${heats[0]!.number} (${first.length - 2} of ${first.length} are in) are missing. Import the whole list, or enter who did not start.`,
    ])
    for (const e of first.slice(-2)) type(e.id)
    must(changeNamedFields(b.m, 'meeting', 'heats', 'spare', { roundId: q1, classId: 'mod-2wd', number: 99 }))
    expect(q().isComplete).toBe(true)
    expect(standings(b, 'mod-2wd').problems).toEqual([])
  })

  test('rules of the class: points table, fastest runs, finals; what cannot be used is said', () => {
    const b = afterFirstRound()
    rule(b, 'mod-2wd', { pointsTable: [20, 17, 15], finalSize: 10, bumpUps: 2 })
    const s = standings(b, 'mod-2wd')
    expect(s.qualifying.table.slice(0, 4).map((r) => r.points)).toEqual([20, 17, 15, 0])
    expect(s.drawn.map((f) => [f.letter, f.drivers.length, f.kept])).toEqual([
      ['A', 8, 2],
      ['B', 8, 2],
      ['C', 8, 2],
      ['D', 8, 2],
      ['E', 9, 0],
    ])
    rule(b, 'mod-2wd', { pointsTable: [20, 25, 3], bumpUps: 12 })
    expect(standings(b, 'mod-2wd').problems).toEqual([
      'The points table goes up and down, so places count instead. Correct it under Rules.',
      'More move up than a final has seats: 9 do. Correct it under Rules.',
    ])
    rule(b, 'mod-2wd', { pointsTable: null, bumpUps: null, roundScore: 'laps-and-time' })
    expect(standings(b, 'mod-2wd').qualifying.table[0]).toMatchObject({ laps: 12 })
  })

  test('an empty class, and one that is not there', () => {
    const b = raceMeeting()
    expect(standings(b, 'nothing')).toMatchObject({
      drivers: [],
      finals: [],
      drawn: [],
      overall: [],
      problems: [],
    })
    expect(rulesOfClass(undefined).rules.rounds.score).toBe('place')
  })

  test('two drivers of one name in one round are two, and one of them twice is told', () => {
    const b = afterFirstRound()
    const view = b.view()
    const q1 = view.rounds.live.find((r) => r.name === 'Qualifying 1')!.id
    const [one, two] = view.heats.live.filter((h) => h.roundId === q1 && h.classId === 'mod-2wd')
    const twin = view.entries.live.find((e) => e.heatId === one!.id && !e.carId)!
    const blank = { carNumber: '', gridPosition: null, carId: null, driverName: twin.driverName! }
    const count = standings(b, 'mod-2wd').drivers.length
    const again = must(addEntry(b.m, b.view(), { ...blank, heatId: two!.id, transponder: '9999999' }))
    must(noteResult(b.m, b.view(), { runId: again, result: { laps: 14, seconds: 301 } }))
    const s = standings(b, 'mod-2wd')
    expect(s.drivers.length).toBe(count + 1)
    expect(s.problems).toEqual([])
    expect(s.qualifying.table[0]!.driver).toContain('9999999')
    // With the same transponder it is the same person.
    must(changeNamedFields(b.m, 'meeting', 'entries', again, { transponder: twin.transponder! }))
    expect(standings(b, 'mod-2wd').problems).toEqual([
      `${twin.driverName} has two results in Qualifying 1: the better one counts.`,
    ])
  })
})

describe('finals of the running order', () => {
  /** One heat in the finals for each label, with these racers; those up to `run` have everybody's result. */
  function finalsOf(labels: readonly string[], run: number, fields: Record<string, Json> = {}): Board {
    const b = raceMeeting()
    must(changeNamedFields(b.m, 'meeting', 'rounds', 'fin', { name: 'Finals', kind: 'final' }))
    rule(b, 'mod-2wd', fields)
    labels.forEach((label, at) => {
      const heat = { roundId: 'fin', classId: 'mod-2wd', label, number: 31 + at }
      must(changeNamedFields(b.m, 'meeting', 'heats', `f${at}`, heat))
      for (const driverName of ['Ash Brook', 'Birch Lane']) {
        const blank = { carNumber: '', transponder: '', gridPosition: null, carId: null }
        const runId = must(addEntry(b.m, b.view(), { ...blank, heatId: `f${at}`, driverName }))
        if (at < run) must(noteResult(b.m, b.view(), { runId, result: { laps: 12, seconds: 300 + at } }))
      }
    })
    return b
  }

  test.each([
    ['A final, leg 2', 'A', 2],
    ['2WD Modified – A Main – Leg 2', 'A', 2],
    ['B Main 2', 'B', 2],
    ['A main, race 2', 'A', 2],
    ['A-Main #2', 'A', 2],
    ['B1', 'B', 1],
    ['Final B1', 'B', 1],
    ['2WD Modified, C final', 'C', null],
    ['Final 2', null, 2],
    ['B final, heat 31', 'B', null],
  ])('“%s”', (label, letter, leg) => {
    const b = finalsOf([label], 0)
    const heat = b.view().heats.get('f0')!
    expect(finalOf(b.view(), heat)).toEqual({ letter, leg })
  })

  test('a final is run when as many legs are as the class has', () => {
    const three = { finalLegs: 3 }
    const state = (b: Board) =>
      standings(b, 'mod-2wd').finals.map((f) => [
        f.letter,
        f.isComplete,
        f.series.rounds.map((r) => `${r.name}${r.isComplete ? '' : ' open'}`).join(', '),
      ])
    expect(state(finalsOf(['A final, leg 1'], 1, three))).toEqual([
      ['A', false, 'Leg 1, Leg 2 open, Leg 3 open'],
    ])
    expect(state(finalsOf(['A final, leg 1', 'A final, leg 3', 'B final'], 3, three))).toEqual([
      ['A', false, 'Leg 1, Leg 2 open, Leg 3'],
      ['B', true, 'Final'],
    ])
    expect(state(finalsOf(['A final, leg 1', 'A final, leg 2', 'A final, leg 3'], 3, three))).toEqual([
      ['A', true, 'Leg 1, Leg 2, Leg 3'],
    ])
    expect(state(finalsOf(['A final'], 1))).toEqual([['A', true, 'Final']])
  })

  test('a final without a letter and two heats of one leg are told, not merged in silence', () => {
    expect(standings(finalsOf(['A final, leg 1', 'B final'], 0), 'mod-2wd').problems).toEqual([])
    expect(standings(finalsOf(['Final 2'], 0), 'mod-2wd').problems).toEqual([
      'Final 2 names no letter, so it counts as leg 2 of the A final. If it is another one, write it like “B final, leg 2” in the heat’s label.',
    ])
    expect(standings(finalsOf(['A final', 'A main'], 0), 'mod-2wd').problems).toEqual([
      '2 heats are leg 1 of the A final: 31, 32. If they are different legs, write it like “A final, leg 2” in the heat’s label.',
    ])
  })
})

describe('what there is to reach', () => {
  test('places and finals in qualifying; places in a final once there is one', () => {
    const b = afterFirstRound()
    rule(b, 'mod-2wd', { finalSize: 10, bumpUps: 1 })
    const s = standings(b, 'mod-2wd')
    const own = s.drivers.find((d) => d.carId)!
    expect(goalsOf(s, own.id, 300).map((g) => g.label)).toEqual([
      '1st place',
      '3rd or better',
      'A final (9th or better)',
      'B final (18th or better)',
      'C final (27th or better)',
      'D final (36th or better)',
    ])
    must(changeNamedFields(b.m, 'meeting', 'rounds', 'fin', { name: 'Finals', kind: 'final' }))
    for (const leg of [1, 2, 3]) {
      must(
        changeNamedFields(b.m, 'meeting', 'heats', `leg-${leg}`, {
          roundId: 'fin',
          classId: 'mod-2wd',
          label: `2WD Modified, B final, leg ${leg}`,
          number: leg,
        }),
      )
      for (const e of s.qualifying.table.slice(0, 4)) {
        const d = s.drivers.find((x) => x.id === e.driver)!
        must(
          addEntry(b.m, b.view(), {
            heatId: `leg-${leg}`,
            driverName: d.name,
            carNumber: '',
            transponder: '',
            gridPosition: null,
            carId: d.carId,
          }),
        )
      }
    }
    const f = standings(b, 'mod-2wd')
    expect(f.finals.map((x) => [x.letter, x.series.drivers.length, x.series.rounds.length])).toEqual([
      ['B', 4, 3],
    ])
    const inFinal = f.drivers.find((d) => d.id === f.finals[0]!.series.drivers[0])!
    expect(goalsOf(f, inFinal.id, 300).map((g) => [g.label, g.question.by])).toEqual([
      ['1st place in the B final', 'place'],
      ['3rd or better in the B final', 'place'],
    ])
    // Level before the first leg: the order of qualifying.
    expect(f.finals[0]!.table.map((r) => r.driver)).toEqual(
      s.qualifying.table.slice(0, 4).map((r) => r.driver),
    )
  })
})
