import type { Result } from '@/lib/core/result'

/** The value of an edit that has to work; a refusal fails the test. */
export const must = <T>(r: Result<T>): T => {
  if (!r.ok) throw new Error(JSON.stringify(r.error))
  return r.value
}
