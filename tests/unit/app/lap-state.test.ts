import { expect, test } from 'vitest'
import { lapParts } from '@/app/card/lap-parts'
import { lapState } from '@/app/card/lap-state'
import type { Asked } from '@/app/threads/desk'
import type { LapPart } from '@/app/card/projection-messages'
import type { CardProjections, ProjectionBasis } from '@/lib/card'

const made = (withSpread: boolean): CardProjections => ({
  problem: null,
  figures: [{ id: 'can', text: withSpread ? 'full' : 'rough' } as CardProjections['figures'][number]],
})
const part = (withSpread: boolean): LapPart => ({
  withSpread,
  figures: JSON.stringify(made(withSpread).figures),
})
const asked = (a: Partial<Asked<LapPart>>): Asked<LapPart> => ({
  asked: 'a',
  answer: part(true),
  of: 'a',
  stale: false,
  isWorking: false,
  failed: null,
  ...a,
})

test('a ground’s best estimate comes first, then the same with its ±', () => {
  const grounds: unknown[] = []
  const steps = lapParts(
    (basis, withSpread) => {
      grounds.push(basis)
      return made(withSpread)
    },
    JSON.stringify({ carId: 'rook' } as ProjectionBasis),
  )
  expect(steps.next()).toEqual({ done: false, value: part(false) })
  expect(steps.next()).toEqual({ done: true, value: part(true) })
  expect(grounds).toEqual([{ carId: 'rook' }, { carId: 'rook' }])
})

test('a ground that can’t be projected says which value and what to do, and a simulator that breaks says so', () => {
  const refused = (value: string) =>
    lapParts(
      () => ({
        figures: [],
        problem: { field: 'Pinion', value, reason: 'is no gear', remedy: 'Enter one.' },
      }),
      '{}',
    )
  expect(() => refused('0').next()).toThrow('Pinion “0” is no gear. Enter one.')
  expect(() => refused('').next()).toThrow('Pinion is no gear. Enter one.')
  const broken = lapParts(() => {
    throw new Error('no')
  }, '{}')
  expect(() => broken.next()).toThrow('The projection failed: no')
})

test('figures of the ground in hand stand; without their ± they are rough; of an earlier ground they are stale', () => {
  expect(lapState(asked({}), 'a', null)).toMatchObject({ stale: false, roughly: false, problem: null })
  expect(lapState(asked({ answer: part(false) }), 'a', null)).toMatchObject({ stale: false, roughly: true })
  // The desk is not told yet.
  expect(lapState(asked({ answer: part(false) }), 'b', null)).toMatchObject({ stale: true, roughly: false })
  expect(lapState(asked({ answer: null, of: undefined }), 'a', null)).toMatchObject({
    stale: false,
    roughly: false,
  })
})

test('nonsense leaves the last figures, stale, with the reason; the reason of an earlier ground is not said', () => {
  const retry = () => undefined
  expect(lapState(asked({}), 'a', 'no pinion')).toEqual({
    stale: true,
    roughly: false,
    problem: 'no pinion',
    retry: undefined,
  })
  const failed = asked({ asked: 'b', failed: 'gone', retry })
  expect(lapState(failed, 'b', null)).toEqual({ stale: true, roughly: false, problem: 'gone', retry })
  expect(lapState(failed, 'b', 'no pinion')).toMatchObject({ problem: 'no pinion', retry: undefined })
  expect(lapState(failed, 'c', null)).toMatchObject({ stale: true, problem: null, retry: undefined })
})
