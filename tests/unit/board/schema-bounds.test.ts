import { expect, it } from 'vitest'
import { checkField, describeField } from '@/lib/board'

it('forms and refusals know what a field allows: bounds, whole numbers, choices, the longest text', () => {
  expect(describeField('kit', 'cars', 'weightG')).toMatchObject({ kind: 'number', min: 500, max: 5000 })
  expect(describeField('kit', 'packs', 'cells')).toMatchObject({ min: 1, max: 6, step: 1 })
  expect(describeField('kit', 'packs', 'label')).toMatchObject({ kind: 'text', maxLength: 12 })
  expect(describeField('kit', 'cars', 'drive').options).toEqual(['2wd', '4wd'])
  const remedy = (field: string, value: unknown) => {
    const fits = checkField('kit', 'cars', field, value)
    return fits.ok ? '' : fits.error.remedy
  }
  expect(remedy('weightG', 9e9)).toBe('Enter 500 to 5000 g.')
  // A stamped value's bounds are its own.
  expect(describeField('meeting', 'conditions', 'airC')).toMatchObject({ kind: 'other', min: -30, max: 60 })
  const hot = checkField('meeting', 'conditions', 'airC', { v: 99, by: 'ilse', at: 1.7e12 })
  expect(hot.ok ? '' : hot.error.remedy).toBe('Enter -30 to 60°C.')
  expect(remedy('drive', '3wd')).toBe('Enter one of 2wd, 4wd.')
})
