import { expect, test } from 'vitest'
import { cardSeasonFigures, coverCards } from '../../support/card-seasons'

test('the ± that a card shows covers 85 to 95 % of what then happened, figure by figure', () => {
  const seasons = 500
  const held = coverCards(seasons, 11)
  for (const f of cardSeasonFigures) {
    expect(held[f] / seasons, f).toBeGreaterThanOrEqual(0.85)
    expect(held[f] / seasons, f).toBeLessThanOrEqual(0.95)
  }
}, 240_000)
