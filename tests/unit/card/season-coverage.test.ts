import { test } from 'vitest'
import { cardSeasonFigures, coverCards, coverWhatIfs, whatIfFigures } from '../../support/card-seasons'
import { expectNineInTen } from '../../support/expect-nine-in-ten'

// Seeded, so they pass or fail the same on every machine. Of 400 and 250 seasons a share of 0.9 is known to 0.015 and 0.019 (one deviation).

test('the ± that a card shows covers 85 to 95% of what then happened, figure by figure', () => {
  const seasons = 400
  const held = coverCards(seasons, 11)
  expectNineInTen(held, seasons, cardSeasonFigures)
}, 240_000)

test('the ± of a trial’s differences covers 85 to 95% of the true ones, a lap more or less included', () => {
  const seasons = 250
  const held = coverWhatIfs(seasons, 11)
  expectNineInTen(held, seasons, whatIfFigures)
}, 240_000)
