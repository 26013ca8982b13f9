/** Does a piece of work that comes after waiting, and charges the asker for the time that it takes. */
export type Charged = <T>(work: () => T) => T

/** @param steady ms of a clock that only goes forward */
export const chargedBy =
  (spend: (ms: number) => void, steady: () => number): Charged =>
  (work) => {
    const before = steady()
    const done = work()
    spend(steady() - before)
    return done
  }
