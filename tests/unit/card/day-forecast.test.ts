import { expect, test } from 'vitest'
import { writeField } from '@/lib/board'
import { dayForecast, heatsInOrder, heatsToCome } from '@/lib/card'
import { testBoard } from '../../support/board'

const MINUTE = 60_000
const NINE = Date.UTC(2026, 4, 2, 9)

/** Eight heats of five minutes, one every eight; a break of half an hour after the fourth. */
function day(stamps: readonly (number | null)[]) {
  const b = testBoard()
  const { meeting } = b.docs
  if (!meeting) throw new Error('A board without a meeting')
  let at = NINE
  for (let i = 1; i <= 8; i++) {
    const id = `h${i}`
    writeField(meeting, 'heats', id, 'number', i)
    writeField(meeting, 'heats', id, 'order', i)
    writeField(meeting, 'heats', id, 'plannedStart', at)
    writeField(meeting, 'heats', id, 'raceSeconds', 300)
    const stamp = stamps[i - 1]
    if (stamp) writeField(meeting, 'heats', id, 'startedAt', { v: stamp, by: 'max', at: stamp })
    at += 8 * MINUTE
    if (i === 4) {
      writeField(meeting, 'heats', 'lunch', 'isBreak', true)
      writeField(meeting, 'heats', 'lunch', 'order', 4.5)
      writeField(meeting, 'heats', 'lunch', 'plannedStart', at)
      at += 30 * MINUTE
    }
  }
  return b.view()
}

test('a break moves with the heats around it', () => {
  const late = day([NINE + 20 * MINUTE, NINE + 28 * MINUTE, NINE + 36 * MINUTE])
  const { heats } = dayForecast(late, NINE + 37 * MINUTE)
  const start = (id: string) => heats.get(id)?.startAt ?? NaN
  expect(start('lunch')).toBeGreaterThanOrEqual(heats.get('h4')?.finishAt ?? NaN)
  expect(start('lunch')).toBeLessThanOrEqual(start('h5'))
  // The day as it is listed is a day in order of time.
  const times = heatsInOrder(late).map((h) => start(h.id))
  expect(times).toEqual([...times].sort((a, b) => a - b))
})

test('nothing is late before the first heat’s time; without a stamp it is from then on', () => {
  const drift = (minutes: number) => dayForecast(day([]), NINE + minutes * MINUTE).driftS
  expect([drift(-60), drift(-1)]).toEqual([0, 0])
  expect(drift(6)).toBeGreaterThan(60)
})

test('a break on time keeps its time', () => {
  const { heats } = dayForecast(day([NINE, NINE + 8 * MINUTE]), NINE + 9 * MINUTE)
  expect(heats.get('lunch')).toMatchObject({ startAt: NINE + 32 * MINUTE, plusMinusS: 0 })
})

test.each([
  ['stamped up to the third', [NINE, NINE + 8 * MINUTE, NINE + 16 * MINUTE], 20],
  ['one stamp missed', [NINE, null, NINE + 16 * MINUTE], 20],
  ['never stamped', [], 60],
  ['the next one overdue', [NINE, NINE + 8 * MINUTE], 30],
] as const)('heats to come have times from now on, all others before: %s', (_, stamps, minutes) => {
  const view = day(stamps)
  const now = NINE + minutes * MINUTE
  const forecast = dayForecast(view, now)
  const heats = heatsInOrder(view).filter((h) => !h.isBreak)
  const coming = new Set(heatsToCome(heats, forecast, now))
  expect(coming.size).toBeGreaterThan(0)
  for (const h of heats) {
    const at = forecast.heats.get(h.id)?.startAt ?? NaN
    if (coming.has(h)) expect(at).toBeGreaterThan(now)
    else expect(at).toBeLessThanOrEqual(now)
  }
})
