import { expect, test } from 'vitest'
import { figureIn, inSpeedUnit, speedsIn, speedText } from '@/lib/core/speed-unit'

test('a speed in each unit; a mile is 1609.344 m', () => {
  expect(inSpeedUnit(10, 'm/s')).toBe(10)
  expect(inSpeedUnit(10, 'km/h')).toBeCloseTo(36, 9)
  expect(inSpeedUnit(44.704, 'mph')).toBeCloseTo(100, 9)
})

test('figures and sentences speak the device’s unit, with digits to match', () => {
  expect(speedText('24.13', 'km/h')).toBe('86.9')
  expect(speedText('24.13', 'mph')).toBe('54.0')
  expect(speedText('24.13', 'm/s')).toBe('24.13')
  expect(speedText('–', 'km/h')).toBe('–')
  expect(speedsIn('with all of them 24.13 m/s, 5.0 m/s² and 7.40 V', 'km/h')).toBe(
    'with all of them 86.9 km/h, 5.0 m/s² and 7.40 V',
  )
  const top = { text: '20.00', unit: 'm/s', plusMinusText: '1.00', detail: 'At 20.00 m/s.', value: 20 }
  expect(figureIn(top, 'km/h')).toEqual({
    text: '72.0',
    unit: 'km/h',
    plusMinusText: '3.6',
    detail: 'At 72.0 km/h.',
    value: 20,
  })
  const lap = { text: '18.10', unit: 's', plusMinusText: '0.20', detail: '' }
  expect(figureIn(lap, 'mph')).toEqual(lap)
})
