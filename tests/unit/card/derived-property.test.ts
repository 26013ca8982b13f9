import { expect, test } from 'vitest'
import { allFacts, checkSequences } from '../../support/derived-sequences'

/** The long form: `npm run fuzz -- --derived 1000`. */
const SEQUENCES = 12

test('after random edits in random order every fact of the graph equals that of a board derived from nothing', () => {
  checkSequences(SEQUENCES)
})

test('no fact is left out of the comparison', () => {
  expect(allFacts().length).toBeGreaterThan(10)
})
