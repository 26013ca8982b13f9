import type { Json } from '@/lib/core/json'

/**
 * Whether a decoded value is plain JSON: no bigints, bytes, undefined or infinities, and no object with a foreign prototype (the decoder
 * turns a key named `__proto__` into one, and inherited fields would pass a schema without being there).
 */
export function isPlainJson(value: unknown, depth: number): value is Json {
  switch (typeof value) {
    case 'string':
    case 'boolean':
      return true
    case 'number':
      return Number.isFinite(value)
    case 'object': {
      if (value === null) return true
      if (depth <= 0) return false
      if (Array.isArray(value)) return value.every((v) => isPlainJson(v, depth - 1))
      if (Object.getPrototypeOf(value) !== Object.prototype) return false
      return Object.values(value).every((v) => isPlainJson(v, depth - 1))
    }
    default:
      return false
  }
}

/** Whether a value nests at most `depth` levels; deeper ones would overflow the stack of whoever walks them. */
export function isShallow(value: unknown, depth: number): boolean {
  if (typeof value !== 'object' || value === null || value instanceof Uint8Array) return true
  if (depth <= 0) return false
  for (const v of Array.isArray(value) ? value : Object.values(value))
    if (!isShallow(v, depth - 1)) return false
  // A key named `__proto__` hides its value in the prototype.
  const proto: unknown = Object.getPrototypeOf(value)
  return proto === Object.prototype || proto === Array.prototype || isShallow(proto, depth - 1)
}
