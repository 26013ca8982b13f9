/** Compile-time proof that a switch handled every case; throws if the types lied. */
export function never(value: never): never {
  throw new Error(`Unhandled case: ${JSON.stringify(value)}`)
}

/** Narrow away null and undefined where the program's own logic guarantees a value. */
export function present<T>(value: T | null | undefined, what: string): T {
  if (value === null || value === undefined) throw new Error(`Missing: ${what}`)
  return value
}
