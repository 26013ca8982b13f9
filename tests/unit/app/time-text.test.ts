import { describe, expect, it } from 'vitest'
import { agoText, countdownText, durationText, plusMinusText } from '@/app/ui/time-text'

describe('countdowns', () => {
  it.each([
    [860_300, '14:20.3'],
    [59_999, '0:59.9'],
    [0, '0:00.0'],
    [-5_049, '0:05 ago'],
    [-3_043_000, '50:43 ago'],
    [3_600_000, '1 h 00'],
    [7_859_000, '2 h 10'],
    [-3_960_000, '1 h 06 ago'],
    [24 * 3_600_000, 'Sat, May 2'],
    [-1106 * 3_600_000, 'was Sat, May 2'],
  ])('%d ms show as %s', (ms, text) =>
    expect(countdownText(ms, new Date(2026, 4, 2, 11).getTime())).toBe(text),
  )

  it('without tenths', () => expect(countdownText(65_900, 0, { tenths: false })).toBe('1:05'))

  it('a call was, a race is over its time, and only the day is late', () => {
    expect(countdownText(-468_000, 0, { passed: 'ago' })).toBe('7:48 ago')
    expect(countdownText(-383_000, 0, { passed: 'over' })).toBe('6:23 over')
    expect(countdownText(-65_000, 0, { passed: 'late' })).toBe('1:05 late')
  })
})

describe('lengths of time', () => {
  it.each([
    [40_000, '40 s'],
    [14 * 60_000, '14 min'],
    [125 * 60_000, '2 h 05 min'],
    [50 * 3_600_000, '2 d 2 h'],
    [-1, '0 s'],
  ])('%d ms are %s', (ms, text) => expect(durationText(ms)).toBe(text))

  it('drift', () => {
    expect(plusMinusText(40)).toBe('±40 s')
    expect(plusMinusText(130)).toBe('±2 min')
    expect(plusMinusText(0)).toBe('')
  })

  it('ago', () => {
    expect(agoText(0, 10_000)).toBe('just now')
    expect(agoText(0, 4 * 60_000)).toBe('4 min ago')
    expect(agoText(0, 2 * 3_600_000)).toBe('2 h ago')
  })
})
