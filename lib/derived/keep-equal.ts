import { equalityDeep } from 'lib0/function'

/** `after`, or `before` where they say the same; of a list that changed, the elements that say the same at the same place. What is the same object need not be rendered anew. */
export function keepEqual<T>(before: T | undefined, after: T): T {
  if (before === undefined || before === after) return after
  if (equalityDeep(before, after)) return before
  if (!Array.isArray(before) || !Array.isArray(after)) return after
  return after.map((x: unknown, i) => (equalityDeep(before[i], x) ? before[i] : x)) as T
}
