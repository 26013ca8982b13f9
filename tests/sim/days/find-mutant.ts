import type { PlantedMutant } from './planted-mutants'
import { runRaceDay } from './race-day'

export interface Finding {
  what: string
  /** The day on which it was found; null when it was not. */
  seed: number | null
  days: number
  violation: string
}

/** Plant a mutant and run days until one of them shows it. */
export async function findMutant(
  { what, on, plant }: PlantedMutant,
  from: number,
  most: number,
): Promise<Finding> {
  const takeOut = plant()
  try {
    for (let seed = from; seed < from + most; seed++) {
      const { violations } = await runRaceDay(seed, on)
      if (violations[0] !== undefined) return { what, seed, days: seed - from + 1, violation: violations[0] }
    }
    return { what, seed: null, days: most, violation: '' }
  } finally {
    takeOut()
  }
}
