/** A fair question that has no answer here, with the reason in a sentence. Takes the place of NaN and of a guess. */
export interface Absent {
  readonly absent: true
  readonly reason: string
}
export type Maybe<T> = T | Absent

export const absent = (reason: string): Absent => ({ absent: true, reason })
export const isAbsent = (value: unknown): value is Absent =>
  typeof value === 'object' && value !== null && (value as { absent?: unknown }).absent === true

/** Applies `f` to an answer and passes an absence on. */
export const mapMaybe = <T, U>(value: Maybe<T>, f: (value: T) => Maybe<U>): Maybe<U> =>
  isAbsent(value) ? value : f(value)
