/** Seeded draws of the referee's own: mulberry32 (public domain) and the polar method of Marsaglia. */
export function draws(seed: number) {
  let state = seed >>> 0
  const even = () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const gauss = (): number => {
    for (;;) {
      const [u, v] = [2 * even() - 1, 2 * even() - 1]
      const s = u * u + v * v
      if (s > 0 && s < 1) return u * Math.sqrt((-2 * Math.log(s)) / s)
    }
  }
  return { even, gauss, between: (a: number, b: number) => a + (b - a) * even() }
}
export type Draws = ReturnType<typeof draws>
