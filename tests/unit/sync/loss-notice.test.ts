import { expect, it } from 'vitest'
import { lossSentences } from '@/lib/sync/loss-words'

const when = (at: number) => `Day ${at}`

it('[S26] a loss in words: since when, how much, whose', () => {
  expect(
    lossSentences(
      {
        after: 1,
        until: 2,
        writes: 12,
        people: [
          { name: 'Ann', edits: 9 },
          { name: 'Bo', edits: 1 },
        ],
      },
      when,
    ),
  ).toEqual([
    'What was saved after Day 1 and until Day 2 is missing: 12 writes to the disk.',
    'Edits by: Ann (9), Bo (1).',
  ])
})

it('[S26] what is not known is not said', () => {
  expect(lossSentences({ after: null, until: null, writes: null, people: [] }, when)).toEqual([
    'Everything that was saved is missing.',
    'Whose edits they were can’t be read anymore.',
  ])
  expect(lossSentences({ after: null, until: 2, writes: 1, people: [] }, when)[0]).toBe(
    'Everything that was saved until Day 2 is missing: 1 write to the disk.',
  )
})
