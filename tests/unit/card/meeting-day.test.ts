import { expect, it } from 'vitest'
import { runEdit } from '@/lib/board'
import { factsOf, firstNotDue, meetingDay, runsOf } from '@/lib/card'
import { ok } from '@/lib/core/result'
import { testBoard } from '../../support/board'

const HOUR = 3_600_000
const DAY1 = Date.UTC(2026, 4, 2, 9, 0)

/** Two heats on Saturday, one on Sunday morning. */
function weekend() {
  const b = testBoard()
  const done = runEdit(b.as('manager'), 'seed', (w) => {
    ;[0, 4, 24].forEach((h, i) =>
      w.meeting('heats', `h${i}`, { number: i + 1, order: i, plannedStart: DAY1 + h * HOUR }),
    )
    w.kit('cars', 'rook', { name: 'Rook' })
    w.meeting('entries', 'run', { heatId: 'h1', carId: 'rook' })
    return ok(undefined)
  })
  if (!done.ok) throw new Error(done.error.reason)
  return b
}

it('a meeting’s day is over or to come when its heats are far from now, not in the night between two of its days', () => {
  const b = weekend()
  const at = (hours: number) => meetingDay(b.view(), DAY1 + hours * HOUR)
  expect(at(-9)).toEqual({ when: 'ahead', at: DAY1 })
  expect(at(-7)).toBeNull()
  expect(at(14)).toBeNull()
  expect(at(31)).toBeNull()
  expect(at(33)).toEqual({ when: 'past', at: DAY1 + 24 * HOUR })
  expect(at(46 * 24)).toEqual({ when: 'past', at: DAY1 + 24 * HOUR })
  expect(meetingDay(testBoard().view(), DAY1)).toBeNull()
})

it('a day that ran later than planned is over after its last stamp', () => {
  const b = weekend()
  runEdit(b.as('manager'), 'late', (w) => {
    w.meeting('heats', 'h2', { startedAt: w.stamp(DAY1 + 30 * HOUR) })
    return ok(undefined)
  })
  expect(meetingDay(b.view(), DAY1 + 37 * HOUR)).toBeNull()
  expect(meetingDay(b.view(), DAY1 + 39 * HOUR)).toEqual({ when: 'past', at: DAY1 + 30 * HOUR })
})

it('the first heat is not due until its time, or its stamp', () => {
  const b = weekend()
  expect(firstNotDue(b.view(), DAY1 - HOUR)).toBe(DAY1)
  expect(firstNotDue(b.view(), DAY1)).toBeNull()
  runEdit(b.as('manager'), 'early', (w) => {
    w.meeting('heats', 'h0', { startedAt: w.stamp(DAY1 - HOUR) })
    return ok(undefined)
  })
  expect(firstNotDue(b.view(), DAY1 - HOUR)).toBeNull()
})

it('with nothing assigned nothing is fitted, and the fact says why', () => {
  const b = weekend()
  const run = runsOf(b.view(), DAY1).find((r) => r.runId === 'run')
  const fitted = run && factsOf(b.view(), run).find((f) => f.fact === 'fitted')
  expect(fitted).toEqual({ fact: 'fitted', state: 'no', missing: ['nothing assigned'] })
})
