import { afterEach, beforeEach, expect, test } from 'vitest'
import { dayOfRun, isAfterMidnight } from '@/lib/season'

const zone = process.env['TZ']
beforeEach(() => void (process.env['TZ'] = 'Europe/Berlin'))
afterEach(() => {
  if (zone === undefined) delete process.env['TZ']
  else process.env['TZ'] = zone
})
const at = (text: string) => new Date(text).getTime()
const shown = (run: string | null, day: string | null, zone: string | null = null) => {
  const found = dayOfRun({ at: run === null ? null : at(run), day: day === null ? null : at(day), zone })
  return found === null ? null : new Date(found).toDateString()
}

test('a night race stays on its evening; the second day of a meeting is the second', () => {
  const first = '2026-06-27T16:00'
  expect(shown('2026-06-27T16:05', first)).toBe('Sat Jun 27 2026')
  expect(shown('2026-06-28T00:20', first)).toBe('Sat Jun 27 2026')
  expect(shown('2026-06-28T03:59', first)).toBe('Sat Jun 27 2026')
  expect(shown('2026-06-28T09:00', first)).toBe('Sun Jun 28 2026')
  expect(shown('2026-06-29T00:10', first)).toBe('Sun Jun 28 2026')
})

test('no run is before its meeting’s first day, and one that nobody dated is on it', () => {
  // As the screens write a first day: its midnight.
  expect(shown('2026-06-27T02:00', '2026-06-27T00:00')).toBe('Sat Jun 27 2026')
  expect(shown(null, '2026-06-27T00:00')).toBe('Sat Jun 27 2026')
  expect(shown('2026-06-27T10:00', null)).toBe('Sat Jun 27 2026')
  expect(shown(null, null)).toBeNull()
})

test('the night in which the clocks change has its hours too', () => {
  expect(shown('2026-10-25T03:30', '2026-10-24T00:00')).toBe('Sat Oct 24 2026')
  expect(shown('2026-10-25T04:30', '2026-10-24T00:00')).toBe('Sun Oct 25 2026')
})

test('what ran after midnight says so', () => {
  const run = (text: string) => ({ at: at(text), day: at('2026-06-27T00:00'), zone: null })
  expect(isAfterMidnight(run('2026-06-28T00:20'))).toBe(true)
  expect(isAfterMidnight(run('2026-06-27T00:20'))).toBe(false)
  expect(isAfterMidnight(run('2026-06-28T12:00'))).toBe(false)
  expect(isAfterMidnight({ at: null, day: 0, zone: null })).toBe(false)
})

test('a meeting’s days are those at its track, wherever they are looked at', () => {
  // Midnight of June 27 in Berlin; a second day’s morning; and after midnight of the first.
  const [first, morning, night] = ['2026-06-26T22:00Z', '2026-06-28T07:00Z', '2026-06-27T22:20Z']
  for (const here of ['Europe/Berlin', 'America/Los_Angeles', 'Pacific/Auckland', 'Asia/Kolkata']) {
    process.env['TZ'] = here
    expect(shown(null, first, 'Europe/Berlin'), here).toBe('Sat Jun 27 2026')
    expect(shown(morning, first, 'Europe/Berlin'), here).toBe('Sun Jun 28 2026')
    expect(shown(night, first, 'Europe/Berlin'), here).toBe('Sat Jun 27 2026')
    const run = { at: at(night), day: at(first), zone: 'Europe/Berlin' }
    expect(isAfterMidnight(run), here).toBe(true)
  }
  // Without a zone, or with one that this device does not know, by the clock here.
  process.env['TZ'] = 'America/Los_Angeles'
  expect(shown(null, first)).toBe('Fri Jun 26 2026')
  expect(shown(null, first, 'Nowhere/Atall')).toBe('Fri Jun 26 2026')
})
