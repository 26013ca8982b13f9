import { describe, expect, it } from 'vitest'
import { ALL_ATTACKS } from './all-attacks'
import { runAttack } from './run-attack'

/** The short attacks; `npm run attack` has all of them. */
describe('attacks on the real server', () => {
  it.each(ALL_ATTACKS.filter((a) => a.short).map((a) => [`[${a.rule}] ${a.title}`, a] as const))(
    '%s',
    async (_title, attack) => {
      const { held, detail } = await runAttack(attack)
      expect(held, detail).toBe(true)
    },
    60_000,
  )
})
