export interface Exploration {
  states: number
  /** The shortest way to a violation, and what it is; null when there is none in all states. */
  found: { violation: string; path: readonly string[] } | null
}

interface Model<S> {
  start: S
  /** Everything that can happen next, by name, and what comes of it. */
  steps: (state: S) => Iterable<readonly [name: string, to: S]>
  /** Two states of one key go on alike. */
  keyOf: (state: S) => string
  /** What is wrong in a state; null where nothing is. */
  violation: (state: S) => string | null
}

/** Go through all states, nearest first. `looksFor`: only violations that say this. */
export function exploreStates<S>({ start, steps, keyOf, violation }: Model<S>, looksFor = ''): Exploration {
  const seen = new Set([keyOf(start)])
  let edge: { state: S; path: readonly string[] }[] = [{ state: start, path: [] }]
  while (edge.length > 0) {
    const next: typeof edge = []
    for (const { state, path } of edge)
      for (const [name, to] of steps(state)) {
        const key = keyOf(to)
        if (seen.has(key)) continue
        seen.add(key)
        const way = [...path, name]
        const wrong = violation(to)
        if (wrong?.includes(looksFor)) return { states: seen.size, found: { violation: wrong, path: way } }
        // What comes after a violation tells nothing new.
        if (wrong === null || looksFor !== '') next.push({ state: to, path: way })
      }
    edge = next
  }
  return { states: seen.size, found: null }
}
