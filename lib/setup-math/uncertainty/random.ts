/**
 * Seeded standard normals: xorshift32 (Marsaglia, J. Stat. Software 8/14, 2003) through the Box-Muller transform (Ann. Math. Stat. 29, 1958).
 * Good enough to draw intervals with; not for secrets.
 */
export function normalSource(seed: number): () => number {
  let state = (Math.trunc(seed) ^ 0x9e3779b9) >>> 0 || 1
  const uniform = () => {
    state ^= state << 13
    state >>>= 0
    state ^= state >>> 17
    state ^= state << 5
    state >>>= 0
    return (state + 0.5) / 2 ** 32
  }
  for (let i = 0; i < 8; i++) uniform()
  let spare: number | undefined
  return () => {
    if (spare !== undefined) {
      const kept = spare
      spare = undefined
      return kept
    }
    const radius = Math.sqrt(-2 * Math.log(uniform()))
    const angle = 2 * Math.PI * uniform()
    spare = radius * Math.sin(angle)
    return radius * Math.cos(angle)
  }
}
