import { isAbsent, type Maybe } from '@/lib/setup-math'

/** A quantity that has to exist; an absence fails the test. */
export const there = <T>(x: Maybe<T>): T => {
  if (isAbsent(x)) throw new Error(x.reason)
  return x
}
