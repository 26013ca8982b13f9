import type { Json } from '@/lib/core/json'

/**
 * `next`, with each part that says what it said in `before` as the object that it was: whoever draws it sees that nothing of it changed. Rows are found again by
 * their `key` or `id`, wherever they stand now.
 */
export function keepSame<T>(before: unknown, next: T): T {
  return keep(before as Json | undefined, next as Json) as T
}

function keep(before: Json | undefined, next: Json): Json {
  if (before === next || typeof before !== 'object' || typeof next !== 'object') return next
  if (before === null || next === null) return next
  if (Array.isArray(next)) return Array.isArray(before) ? keepList(before, next) : next
  if (Array.isArray(before)) return next
  let isSame = Object.keys(before).length === Object.keys(next).length
  for (const key in next) {
    const was = before[key]
    const is = (next[key] = keep(was, next[key] as Json))
    if (is !== was) isSame = false
  }
  return isSame ? before : next
}

function keepList(before: readonly Json[], next: Json[]): Json[] {
  const known = new Map(before.map((row, i) => [nameOf(row, i), row]))
  let isSame = before.length === next.length
  for (const [i, row] of next.entries()) {
    const is = (next[i] = keep(known.get(nameOf(row, i)), row))
    if (is !== before[i]) isSame = false
  }
  return isSame ? (before as Json[]) : next
}

function nameOf(row: Json, place: number): string | number {
  if (typeof row !== 'object' || row === null || Array.isArray(row)) return place
  const name = row['key'] ?? row['id']
  return typeof name === 'string' ? name : place
}
