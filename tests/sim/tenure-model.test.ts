import { expect, it } from 'vitest'
import { WRONG_TENURE } from './all-rules'
import { exploreTenure, OUR_TENURE } from './tenure-model'

it('[P1] two processes, pauses and late answers at any point: nobody shows what another judges', () => {
  const { states, found } = exploreTenure(OUR_TENURE)
  expect(found).toBeNull()
  // Fewer would mean that the model has stopped doing what its rules are for.
  expect(states).toBeGreaterThan(2_000)
})

it.each(WRONG_TENURE)('[P1] a violation is found when %s', (_, wrong) => {
  expect(exploreTenure({ ...OUR_TENURE, ...wrong }).found?.violation).toMatch(/shows what \d judges/)
})
