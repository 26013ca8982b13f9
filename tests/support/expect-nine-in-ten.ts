import { expect } from 'vitest'

/** Each figure's 90% interval held the truth in 85 to 95 of 100 seasons. `held`: how often it did. */
export function expectNineInTen<F extends string>(
  held: Readonly<Record<F, number>>,
  seasons: number,
  figures: readonly F[],
): void {
  for (const f of figures) {
    expect(held[f] / seasons, f).toBeGreaterThanOrEqual(0.85)
    expect(held[f] / seasons, f).toBeLessThanOrEqual(0.95)
  }
}
