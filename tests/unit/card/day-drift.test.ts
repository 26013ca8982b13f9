import { expect, test } from 'vitest'
import { runEdit } from '@/lib/board'
import { dayDrift } from '@/lib/card'
import { ok } from '@/lib/core/result'
import { frozenBoard } from '@/lib/derived'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

test('each stamped heat says how late it began; breaks, heats without a plan and heats to come do not count', () => {
  const at = Date.UTC(2026, 4, 2, 9)
  const b = testBoard()
  must(
    runEdit(b.as('manager'), 'day', (w) => {
      w.meeting('heats', 'late', { number: 2, order: 2, plannedStart: at, startedAt: w.stamp(at + 95_000) })
      w.meeting('heats', 'early', {
        number: 1,
        order: 1,
        plannedStart: at - 600_000,
        startedAt: w.stamp(at - 630_000),
      })
      w.meeting('heats', 'lunch', {
        label: 'Lunch',
        isBreak: true,
        order: 3,
        plannedStart: at + 60_000,
        startedAt: w.stamp(at + 200_000),
      })
      w.meeting('heats', 'unplanned', { number: 9, order: 9, startedAt: w.stamp(at + 220_000) })
      w.meeting('heats', 'coming', { number: 4, order: 4, plannedStart: at + 600_000 })
      return ok(undefined)
    }),
  )
  expect(dayDrift(frozenBoard(b.view(), at)).map((d) => [d.number, d.lateS])).toEqual([
    [1, -30],
    [2, 95],
  ])
})
