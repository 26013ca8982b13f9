import { expect, test } from 'vitest'
import { readClock } from '@/lib/core/read-clock'

test.each([
  ['9:05', '09:05'],
  ['905', '09:05'],
  ['0905', '09:05'],
  ['9.05', '09:05'],
  ['21:05', '21:05'],
  [' 2105 ', '21:05'],
  ['0:00', '00:00'],
  ['9:05 pm', '21:05'],
  ['12:30 AM', '00:30'],
  ['9pm', '21:00'],
  ['12 p.m.', '12:00'],
])('%s is %s', (text, clock) => expect(readClock(text)).toBe(clock))

test.each([
  '',
  '9',
  '21',
  '24:00',
  '9:60',
  '9:5',
  '13:05 pm',
  '0:30 am',
  'noon',
  '9:05:30',
  '-9:05',
  '90500',
])('“%s” is no time of day', (text) => expect(readClock(text)).toBe(null))
