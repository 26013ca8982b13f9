import { describe, expect, test } from 'vitest'
import { markLap, noteTemperature, sayHowItRan, type RunResult } from '@/lib/board'
import { type LapLayout } from '@/lib/results'
import { must } from '../../support/must'
import { firstRound, heatOf, importText, onBoard, raceMeeting, resultFile } from '../../support/results-board'
import type { Board } from '../../support/running-order-board'

/** A demo file's own numbers, read without the reader under test. */
const linesOf = (name: string) => resultFile(name).trim().split(/\r?\n/)
const secondsOf = (text: string): number => {
  const [minutes, seconds] = text.includes(':') ? text.split(':') : ['0', text]
  return Number(minutes) * 60 + Number(seconds?.replace(',', '.'))
}
const resultsOn = (board: Board): number =>
  board.view().entries.live.filter((e) => board.view().runs.get(e.id)?.result?.v).length

describe('every list of the demo is imported whole', () => {
  test('a whole round as CSV, with one that did not start and one that did not finish', () => {
    const b = raceMeeting()
    const { plan, done } = importText(b, resultFile('saltmarsh-q1-round.csv'), firstRound(b))
    expect(plan.problems).toEqual([])
    const rows = linesOf('saltmarsh-q1-round.csv').slice(1)
    expect(done).toEqual({ ok: true, value: rows.length })
    for (const row of rows) {
      const [heat, place, driver, , laps, time, best, status] = row.split(',')
      const result = onBoard(b, 'Qualifying 1', Number(heat), driver ?? '')?.result?.v
      if (status === 'Did not start') {
        expect(result, row).toEqual({ laps: 0, seconds: 0, ended: 'did-not-start' })
        continue
      }
      expect(result, row).toMatchObject({
        laps: Number(laps),
        position: Number(place),
        bestLapS: Number(best),
      })
      expect(result?.seconds, row).toBeCloseTo(secondsOf(time ?? ''), 6)
      if (status) expect(result, row).toMatchObject({ ended: 'did-not-finish', reason: 'broken arm' })
    }
    // Everybody's are kept, not the team's alone.
    expect(resultsOn(b)).toBe(rows.length)
  })

  test('a heat by transponder, tab-separated, laps and time in one cell', () => {
    const b = raceMeeting()
    const { understood, plan } = importText(b, resultFile('saltmarsh-heat-7.tsv'), firstRound(b, 7))
    expect(understood.layout.roles).toEqual(['transponder', 'result', 'best'])
    expect(plan.problems).toEqual([])
    const rows = linesOf('saltmarsh-heat-7.tsv').slice(1)
    expect(rows).toHaveLength(8)
    for (const row of rows) {
      const [transponder, both, best] = row.split('\t')
      const [laps, time] = both?.split('/') ?? []
      const result = onBoard(b, 'Qualifying 1', 7, transponder ?? '')?.result?.v
      expect(result).toEqual({ laps: Number(laps), seconds: secondsOf(time ?? ''), bestLapS: Number(best) })
    }
  })

  test('two heats as text in columns, with a heading for each', () => {
    const b = raceMeeting()
    const { understood, plan } = importText(b, resultFile('saltmarsh-heats-2-3.txt'), firstRound(b))
    expect(understood.table.by).toBe('columns')
    expect(plan.problems).toEqual([])
    expect(plan.heats.map((h) => h.heat.number)).toEqual([2, 3])
    // By eye from the file.
    expect(onBoard(b, 'Qualifying 1', 2, 'Maren Oduya')?.result?.v).toEqual({
      laps: 12,
      seconds: 303.921,
      position: 1,
      bestLapS: 24.758,
    })
    const ended = plan.heats[1]?.rows.map((r) => (r.value as RunResult).ended).filter((e) => e)
    expect(ended).toEqual(['did-not-finish'])
  })

  const lapFiles: [string, number, number | undefined, LapLayout][] = [
    ['saltmarsh-laps-heat-7.csv', 7, 7, 'column-per-car'],
    ['saltmarsh-laps-heat-2.tsv', 2, 2, 'row-per-lap'],
    ['saltmarsh-laps-in-one-cell.txt', 1, undefined, 'one-cell'],
  ]
  test.each(lapFiles)('laps: %s', (name, number, chosen, layout) => {
    const b = raceMeeting()
    const { understood, plan, done } = importText(b, resultFile(name), firstRound(b, chosen))
    expect(understood.kind).toBe('laps')
    expect(understood.lapLayout).toBe(layout)
    expect(plan.problems).toEqual([])
    expect(done.ok).toBe(true)
    const expected = new Map<string, number[]>()
    const [header = '', ...rows] = linesOf(name)
    const push = (who: string, s: string) => expected.set(who, [...(expected.get(who) ?? []), secondsOf(s)])
    if (layout === 'column-per-car')
      for (const row of rows)
        row
          .split(';')
          .forEach((cell, i) => i > 0 && cell && push(header.split(';')[i]?.replace(/^\d+ /, '') ?? '', cell))
    else if (layout === 'row-per-lap')
      for (const row of rows) push(row.split('\t')[0] ?? '', row.split('\t')[2] ?? '')
    else
      for (const row of rows.filter((r) => r.startsWith(`${number}|`)))
        row
          .split('|')[2]
          ?.split(' ')
          .forEach((s) => push(row.split('|')[1] ?? '', s))
    expect(expected.size).toBeGreaterThan(6)
    for (const [who, laps] of expected) {
      const got = onBoard(b, 'Qualifying 1', number, who)?.laps?.v ?? []
      expect(got, who).toHaveLength(laps.length)
      got.forEach((s, i) => expect(s, `${who}, lap ${i + 1}`).toBeCloseTo(laps[i] ?? 0, 6))
    }
  })
})

test('a corrected list changes results and keeps everything else', () => {
  const b = raceMeeting()
  must(importText(b, resultFile('saltmarsh-q1-round.csv'), firstRound(b)).done)
  must(importText(b, resultFile('saltmarsh-laps-heat-7.csv'), firstRound(b, 7)).done)
  const heat = heatOf(b, 'Qualifying 1', 7)
  const rook = b.view().entries.live.find((e) => e.heatId === heat.id && e.carId === 'rook')
  const runId = rook?.id ?? ''
  must(noteTemperature(b.m, b.view(), { runId, part: 'motor', celsius: 77, afterMin: 2 }))
  must(sayHowItRan(b.m, b.view(), { runId, feel: 4, words: 'Fine' }))
  must(markLap(b.m, b.view(), { runId, lap: 2, mark: 'pass' }))
  const before = new Map(b.view().entries.live.map((e) => [e.id, b.view().runs.get(e.id)]))
  const entries = b.view().entries.live
  const heats = b.view().heats.live

  const { plan, done } = importText(b, resultFile('saltmarsh-q1-round-corrected.csv'), firstRound(b))
  const [old, now] = ['saltmarsh-q1-round.csv', 'saltmarsh-q1-round-corrected.csv'].map(
    (f) => new Set(linesOf(f)),
  )
  const changed = [...(now ?? [])].filter((l) => !old?.has(l))
  expect(changed.length).toBeGreaterThan(1)
  expect(done).toEqual({ ok: true, value: changed.length })
  expect(plan.writes.every((w) => w.field === 'result')).toBe(true)
  expect(b.view().entries.live).toBe(entries)
  expect(b.view().heats.live).toBe(heats)
  const names = new Set(changed.map((l) => `${l.split(',')[0]} ${l.split(',')[2]}`))
  for (const e of entries) {
    const [was, is] = [before.get(e.id), b.view().runs.get(e.id)]
    const { result: a, ...rest } = was ?? { id: e.id }
    const { result: c, ...others } = is ?? { id: e.id }
    expect(others, e.driverName).toEqual(rest)
    const listed = names.has(`${b.view().heats.get(e.heatId)?.number} ${e.driverName}`)
    if (!listed || b.view().heats.get(e.heatId)?.roundId !== heat.roundId) expect(c, e.driverName).toEqual(a)
  }
  expect(b.view().lapMarks.get(`${runId}.2`)?.mark?.v).toBe('pass')
  // The one with the dead transponder did run: the word that it did not start is gone.
  const started = changed.find((l) => l.startsWith('1,'))?.split(',')
  expect(onBoard(b, 'Qualifying 1', 1, started?.[2] ?? '')?.result?.v?.ended).toBeUndefined()
  // The same list once more changes nothing.
  expect(importText(b, resultFile('saltmarsh-q1-round-corrected.csv'), firstRound(b)).done).toEqual({
    ok: true,
    value: 0,
  })
})

describe('what is wrong with a row is said by its line, and nothing is imported by itself', () => {
  const cases: [string, string, number, string][] = [
    ['a time that is none', 'Number,Laps,Time\n14,12,5:71.2\n', 2, 'is not a time'],
    ['laps that are none', 'Number,Laps,Time\n14,twelve,5:02\n', 2, 'is not a number of laps'],
    ['nobody of the heat', 'Driver,Laps,Time\nNo Body,12,5:02\n', 2, 'is not in heat 2'],
    [
      'a racer twice',
      'Number,Laps,Time\n14,12,5:02\n17,12,5:03\n14,11,5:01\n',
      4,
      'is listed twice: line 2 has it too',
    ],
    ['a heat that is not there', 'Heat,Number,Laps,Time\n77,14,12,5:02\n', 2, 'is not in the running order'],
    [
      'a best lap slower than the mean',
      'Number,Laps,Time,Best\n14,12,5:00,26.1\n',
      2,
      'is slower than the mean of 12 laps',
    ],
    ['no result at all', 'Number,Laps,Time\n14,,\n', 2, 'is missing'],
  ]
  test.each(cases)('%s', (_, text, line, reason) => {
    const b = raceMeeting()
    const { plan, done } = importText(b, text, firstRound(b, 2))
    expect(plan.problems).toMatchObject([{ line, severity: 'bad', reason }])
    expect(done.ok).toBe(false)
    expect(resultsOn(b)).toBe(0)
  })

  test('good rows alone are imported once somebody says so', () => {
    const b = raceMeeting()
    const text = 'Number,Laps,Time\n14,12,5:02.1\n17,12,5:71\n'
    const { done } = importText(b, text, { ...firstRound(b, 2), leaveOutBad: true })
    expect(done).toEqual({ ok: true, value: 1 })
  })

  test('a transponder with another’s name is imported by the transponder and said', () => {
    const b = raceMeeting()
    const text = 'Driver,Transponder,Laps,Time\nHedda Wray,4180325,12,5:02\n'
    const { plan } = importText(b, text, firstRound(b, 2))
    expect(plan.problems).toMatchObject([
      { line: 2, severity: 'doubt', reason: 'has Maren Oduya’s transponder' },
    ])
    expect(onBoard(b, 'Qualifying 1', 2, 'Maren Oduya')?.result?.v?.laps).toBe(12)
    expect(onBoard(b, 'Qualifying 1', 2, 'Hedda Wray')).toBeUndefined()
  })
})

test('a driver imports nothing of other cars', () => {
  const b = raceMeeting()
  const ctx = b.as('driver', 'maren-oduya')
  const { done } = importText(b, resultFile('saltmarsh-heat-7.tsv'), firstRound(b, 7), { ctx })
  expect(done.ok).toBe(false)
  expect(resultsOn(b)).toBe(0)
})
