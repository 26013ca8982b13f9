export type Side = 'A' | 'B'

/**
 * Which side each run of a test is driven with: A B B A B A A B and so on (Thue and Morse), each stretch followed by its mirror image with the sides changed
 * over. After 4 runs a steady drift of the track falls out of the difference, after 8 one that bends.
 * Source: systematic designs against trends, Cox, Planning of Experiments (1958), ch. 14 (from memory); the sums are checked in the tests.
 */
export const sideOfRun = (index: number): Side => {
  let ones = 0
  for (let rest = index; rest > 0; rest = Math.floor(rest / 2)) ones += rest % 2
  return ones % 2 ? 'B' : 'A'
}

/**
 * What to drive next when some runs are done, not all of them as planned: the side that the plan says, unless the other one is two runs behind.
 */
export function nextSide(done: readonly Side[]): Side {
  const ahead = done.filter((s) => s === 'A').length - done.filter((s) => s === 'B').length
  if (ahead >= 2) return 'B'
  if (ahead <= -2) return 'A'
  return sideOfRun(done.length)
}
