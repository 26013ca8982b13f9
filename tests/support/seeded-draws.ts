import { normal } from '@/lib/setup-math/pace/race-projection'
import { normalSource } from '@/lib/setup-math/uncertainty/random'

/** Seeded draws: normal, and even between two numbers (a normal through its own distribution function is even on 0..1). */
export function drawsFrom(seed: number) {
  const gauss = normalSource(seed)
  return {
    gauss,
    between: (low: number, high: number): number => low + (high - low) * normal(gauss()),
  }
}
