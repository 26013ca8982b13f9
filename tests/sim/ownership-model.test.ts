import { describe, expect, it } from 'vitest'
import { WRONG_OWNERSHIP } from './all-rules'
import { explore, OUR_RULES } from './ownership-model'

describe('ownership of a room, all interleavings', () => {
  it('[P1] two owners, lost answers and a crash: nothing acknowledged is lost, and one judges at a time', () => {
    const { states, found } = explore(OUR_RULES)
    expect(found).toBeNull()
    // Fewer would mean that the model has stopped doing what its rules are for.
    expect(states).toBeGreaterThan(50_000)
  })

  it('[P1] without the fence an acknowledged edit is lost in five steps', () => {
    const { found } = explore({ ...OUR_RULES, fence: false }, 'acknowledged')
    expect(found).toEqual({
      violation: 'edit 1 was acknowledged and is not stored',
      path: ['0 judges 1', '1 takes the room', '0 commits 1', '1 judges 3', '1 commits 3'],
    })
  })

  it.each(WRONG_OWNERSHIP)('a violation is found when %s', (_, rules, violation) => {
    expect(explore({ ...OUR_RULES, ...rules }).found?.violation).toMatch(violation)
  })
})
