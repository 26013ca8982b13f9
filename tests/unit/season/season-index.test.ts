import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import type { Setting } from '@/lib/board'
import { keyOfRun, SeasonIndex, type SeasonRun } from '@/lib/season'
import { BLANK_RUN } from '../../support/blank-run'

const run = (runId: string, notes: readonly string[], more: Partial<SeasonRun> = {}): SeasonRun => ({
  ...BLANK_RUN,
  runId,
  notes,
  ...more,
})
const textsOf = (runs: readonly SeasonRun[]) => {
  const texts = new Map<string, number[]>()
  for (const [n, { notes }] of runs.entries())
    for (const note of new Set(notes)) texts.set(note, [...(texts.get(note) ?? []), n])
  return texts
}
const valueText = (id: string, value: Setting) => `${id} ${String(value)}`
const indexOf = (...runs: SeasonRun[]) => {
  const index = new SeasonIndex(textsOf, valueText)
  for (const id of new Set(runs.map((r) => r.meetingId)))
    index.setMeeting(
      id,
      runs.filter((r) => r.meetingId === id),
    )
  return index
}
const found = (index: SeasonIndex, question: string) => index.search(question)?.map((h) => h.run.runId)

describe('a search', () => {
  test('finds runs that have every word, in one text or in several; the one that says it all comes first', () => {
    const index = indexOf(
      run('apart', ['Loose in the sweeper', 'Slow on entry'], { at: 3 }),
      run('whole', ['Loose on entry everywhere'], { at: 2 }),
      run('half', ['Loose'], { at: 1 }),
    )
    expect(found(index, 'loose on entry')).toEqual(['whole', 'apart'])
    expect(index.search('loose entry')?.[0]?.texts).toEqual(['Loose on entry everywhere'])
  })

  test('a number belongs to the word beside it', () => {
    const index = indexOf(
      run('asked', ['Pinion 22 t', 'Spur 82 t']),
      run('other', ['Pinion 23 t', 'Ride height 22 mm']),
    )
    expect(found(index, 'pinion 22')).toEqual(['asked'])
    expect(found(index, '22 pinion')).toEqual(['asked'])
    expect(found(index, 'pinion 2')).toEqual([])
    // Nowhere side by side: then each may stand where it likes.
    expect(found(index, 'spur 22')).toEqual(['asked'])
  })

  test('beginnings and slips of the finger are found, after what is written so', () => {
    const index = indexOf(
      run('begins', ['Hairpinned'], { at: 9 }),
      run('is', ['Hairpin'], { at: 1 }),
      run('slip', ['Hairpim'], { at: 5 }),
    )
    expect(found(index, 'hairpin')).toEqual(['is', 'begins', 'slip'])
    expect(found(index, 'hai')).toEqual(['begins', 'slip', 'is'])
  })

  test('equal matches: the newest first; null for a question without words, nothing for what nobody wrote', () => {
    const index = indexOf(run('old', ['Wren'], { at: 1 }), run('new', ['Wren'], { at: 2 }))
    expect(found(index, 'wren')).toEqual(['new', 'old'])
    expect(index.search(' – ')).toBeNull()
    expect(found(index, 'heron')).toEqual([])
    expect(index.search('wren', (r) => r.at === 1)?.map((h) => h.run.runId)).toEqual(['old'])
  })

  test('one run id at two meetings is two runs', () => {
    const index = indexOf(run('q1', ['Wren']), run('q1', ['Wren'], { meetingId: 'm2', at: 1 }))
    expect(index.search('wren')?.map((h) => keyOfRun(h.run))).toEqual(['m2/q1', 'm1/q1'])
  })
})

test('after any edits an index is what one built from nothing is', () => {
  const word = fc.constantFrom(
    'loose',
    'entry',
    'exit',
    'pinion 22',
    'pinion 23',
    'rook',
    'wren',
    'hairpin',
    '82.6',
  )
  const text = fc.array(word, { minLength: 1, maxLength: 4 }).map((w) => w.join(' '))
  const someRun = fc.record({
    runId: fc.constantFrom('r1', 'r2', 'r3', 'r4'),
    at: fc.integer({ min: 0, max: 5 }),
    notes: fc.array(text, { maxLength: 4 }),
  })
  const runs = fc.uniqueArray(someRun, { selector: (r) => r.runId, maxLength: 4 })
  const edit = fc.record({
    meetingId: fc.constantFrom('m1', 'm2', 'm3'),
    runs: fc.option(runs),
    prepared: fc.nat(2),
    asked: fc.boolean(),
  })
  const questions = [
    'loose',
    'entry',
    'pinion 22',
    '22',
    'rook loose',
    'hair',
    'lose',
    'loose on entry',
    '82.6',
  ]
  fc.assert(
    fc.property(fc.array(edit, { maxLength: 12 }), (edits) => {
      const index = new SeasonIndex(textsOf, valueText)
      const left = new Map<string, SeasonRun[]>()
      for (const { meetingId, runs: made, prepared, asked } of edits) {
        const whole = made?.map((r) => ({ ...BLANK_RUN, ...r, meetingId })) ?? null
        if (whole) {
          index.setMeeting(meetingId, whole)
          left.set(meetingId, whole)
        } else {
          index.removeMeeting(meetingId)
          left.delete(meetingId)
        }
        for (let i = 0; i < prepared; i++) index.prepare()
        if (asked) index.search('loose')
      }
      const fresh = new SeasonIndex(textsOf, valueText)
      for (const [id, whole] of left) fresh.setMeeting(id, whole)
      expect(index.size).toBe(fresh.size)
      const keys = (i: SeasonIndex) => i.runs.map(keyOfRun).sort()
      expect(keys(index)).toEqual(keys(fresh))
      for (const q of questions) expect(index.search(q), q).toEqual(fresh.search(q))
    }),
    { numRuns: 300 },
  )
})
