import { describe, expect, test } from 'vitest'
import { noteResult, type RunResult } from '@/lib/board'
import { importList, planList, readList } from '@/lib/results'
import { must } from '../../support/must'
import { firstRound, heatOf, importText, onBoard, raceMeeting } from '../../support/results-board'

const resultOf = (text: string): RunResult | undefined => must(readList(text)).list.results[0]?.result

describe('what a new list leaves open stays', () => {
  test('how far a car came, and its best lap, under a bare DNF', () => {
    const b = raceMeeting()
    const first = 'Number,Laps,Time,Best,Status\n14,7,170.0,23.5,DNF: broken arm\n'
    must(importText(b, first, firstRound(b, 2)).done)
    must(importText(b, 'Number,Laps,Time,Status\n14,,,DNF\n', firstRound(b, 2)).done)
    expect(onBoard(b, 'Qualifying 1', 2, '14')?.result?.v).toEqual({
      laps: 7,
      seconds: 170,
      bestLapS: 23.5,
      ended: 'did-not-finish',
      reason: 'broken arm',
    })
  })

  test('but not what it says, nor how far a car came that did not start', () => {
    const b = raceMeeting()
    must(importText(b, 'Number,Laps,Time,Status\n14,7,170.0,DNF\n', firstRound(b, 2)).done)
    must(importText(b, 'Number,Laps,Time,Status\n14,0,0,DNF\n', firstRound(b, 2)).done)
    expect(onBoard(b, 'Qualifying 1', 2, '14')?.result?.v).toMatchObject({ laps: 0, seconds: 0 })
    must(importText(b, 'Number,Laps,Time,Status\n14,7,170.0,DNF\n', firstRound(b, 2)).done)
    must(importText(b, 'Number,Laps,Time,Status\n14,,,DNS\n', firstRound(b, 2)).done)
    expect(onBoard(b, 'Qualifying 1', 2, '14')?.result?.v).toMatchObject({ laps: 0, seconds: 0 })
  })
})

describe('a remark says how a run ended only where it begins with it', () => {
  const row = (remark: string) => `Number,Laps,Time,Remarks\n14,12,5:02,"${remark}"\n`
  test.each(['ret. marshal helped', 'was nearly a DNF', 'returned to the pit', 'retires next year'])(
    '“%s” is a finisher',
    (remark) => {
      expect(must(readList(row(remark))).list.problems).toEqual([])
      expect(resultOf(row(remark))?.ended).toBeUndefined()
    },
  )
  test.each([
    ['DNF', undefined],
    ['Ret.', undefined],
    ['DNF: broken arm', 'broken arm'],
    ['Did not finish (broken arm)', 'broken arm'],
    ['DNF broken arm', 'broken arm'],
  ])('“%s” did not finish', (remark, reason) => {
    expect(resultOf(row(remark))).toMatchObject({ ended: 'did-not-finish' })
    expect(resultOf(row(remark))?.reason).toBe(reason)
  })
  test('words that may say something else are a doubt beside whole laps and a time', () => {
    const b = raceMeeting()
    const { plan } = importText(b, row('did not finish first lap cleanly'), firstRound(b, 2))
    expect(plan.problems).toMatchObject([
      { line: 2, severity: 'doubt', reason: 'is beside whole laps and a time' },
    ])
    const bare = importText(b, 'Number,Laps,Time,Remarks\n17,,,did not finish lap one\n', firstRound(b, 2))
    expect(bare.plan.problems).toEqual([])
  })
  test('in place of a number it may stand anywhere', () => {
    expect(resultOf('Pos,Number,Laps,Time\nRet,14,7,170\n')?.ended).toBe('did-not-finish')
    expect(resultOf('Pos,Number,Laps,Time\n8 DNF,14,7,170\n')?.ended).toBe('did-not-finish')
  })
})

describe('laps and time beside how it ended, in one cell', () => {
  test.each([
    ['7/2:44.0 DNF', undefined],
    ['DNF 7/2:44.0', undefined],
    ['7/2:44.0 DNF: broken arm', 'broken arm'],
    ['DNF (7 laps in 2:44.0)', undefined],
    ['7 laps in 2:44.0, did not finish', undefined],
  ])('“%s”', (cell, reason) => {
    const text = `Number,Result\n14,"${cell}"\n17,12/5:02.1\n`
    expect(resultOf(text)).toEqual({
      laps: 7,
      seconds: 164,
      ended: 'did-not-finish',
      ...(reason && { reason }),
    })
  })
  test('in cells of their own too', () => {
    expect(resultOf('Number,Laps,Time\n14,7 DNF,2:44.0\n')).toMatchObject({ laps: 7, seconds: 164 })
    expect(resultOf('Number,Laps,Time\n14,7,2:44.0 DNF\n')).toMatchObject({ laps: 7, seconds: 164 })
  })
})

describe('a list of another heat is not taken for this one', () => {
  test('a class that no heat of that number has', () => {
    const b = raceMeeting()
    const text = 'Heat,Class,Number,Laps,Time\n2,Nonsense class,14,12,5:02\n'
    const { plan, done } = importText(b, text, firstRound(b))
    expect(plan.problems).toMatchObject([
      { line: 2, severity: 'bad', field: 'Class', reason: 'is not the class of heat 2' },
    ])
    expect(done.ok).toBe(false)
    const right = importText(b, text.replace('Nonsense class', 'modified 2 wd'), firstRound(b))
    expect(right.plan.problems).toEqual([])
  })

  test('a heading says other things beside its heat', () => {
    const b = raceMeeting()
    const text = 'Qualifying 1 – heat 2 – official\nNumber,Laps,Time\n14,12,5:02\n'
    expect(importText(b, text, firstRound(b)).plan.problems).toEqual([])
  })

  test('a wholly different name with the number of somebody in the heat', () => {
    const b = raceMeeting()
    const list = (name: string) => `Driver,Number,Laps,Time\n${name},14,12,5:02\n`
    const { plan } = importText(b, list('Somebody Else'), firstRound(b, 2))
    expect(plan.problems).toMatchObject([
      { line: 2, severity: 'bad', reason: 'is not Maren Oduya, who has number 14 in heat 2' },
    ])
    expect(plan.writes).toEqual([])
    // A name written otherwise is one to look at.
    expect(importText(b, list('M. Oduya'), firstRound(b, 2)).plan.problems).toMatchObject([
      { line: 2, severity: 'doubt', reason: 'has Maren Oduya’s number' },
    ])
  })
})

describe('laps that do not add up to the result are a doubt', () => {
  const LAPS = 'Lap,14\n1,26.0\n2,25.0\n3,22.0\n'
  const RESULT = 'Number,Laps,Time\n14,3,1:15.0\n'
  test.each([
    ['the result was there', RESULT, LAPS, 'Laps', '73.0 s in total', 'the result of car 14 has 75.0 s'],
    ['the laps were there', LAPS, RESULT, 'Result', '75.0 s', 'the lap list of car 14 has 73.0 s in total'],
  ])('%s', (_, first, second, field, value, reason) => {
    const b = raceMeeting()
    must(importText(b, first, firstRound(b, 2)).done)
    const { plan } = importText(b, second, firstRound(b, 2))
    expect(plan.problems).toMatchObject([{ severity: 'doubt', field, value, reason }])
  })
})

describe('nothing is written when the board changed after the preview', () => {
  const TEXT = 'Number,Laps,Time\n14,12,5:02.1\n'
  test.each([
    ['so that there is nothing left to write', { laps: 12, seconds: 302.1 }],
    ['so that it would write over something else', { laps: 11, seconds: 301 }],
  ])('%s', (_, since) => {
    const b = raceMeeting()
    const { list } = must(readList(TEXT))
    const choices = firstRound(b, 2)
    const shown = planList(b.view(), list, choices)
    const runId = shown.writes[0]?.entryId ?? ''
    must(noteResult(b.m, b.view(), { runId, result: since }))
    expect(importList(b.m, b.view(), { list, choices, shown })).toMatchObject({
      ok: false,
      error: { reason: 'the board has changed since the preview' },
    })
    expect(b.view().runs.get(runId)?.result?.v).toEqual(since)
  })

  test('what changed elsewhere does not stop it', () => {
    const b = raceMeeting()
    const { list } = must(readList(TEXT))
    const choices = firstRound(b, 2)
    const shown = planList(b.view(), list, choices)
    const other = b.view().entries.live.find((e) => e.heatId === heatOf(b, 'Qualifying 1', 3).id)
    must(noteResult(b.m, b.view(), { runId: other?.id ?? '', result: { laps: 11, seconds: 301 } }))
    expect(importList(b.m, b.view(), { list, choices, shown })).toEqual({ ok: true, value: 1 })
  })
})
