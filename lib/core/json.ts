export type Json = null | boolean | number | string | Json[] | { [key: string]: Json }

/** JSON with sorted keys: equal values give equal text, whatever order they were built in. */
export function canonicalJson(value: unknown): string {
  // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- of undefined it gives undefined, whatever its type says
  if (value === null || typeof value !== 'object') return JSON.stringify(value) ?? 'null'
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`
  const entries = Object.entries(value).filter(([, v]) => v !== undefined)
  entries.sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0))
  return `{${entries.map(([k, v]) => `${JSON.stringify(k)}:${canonicalJson(v)}`).join(',')}}`
}
