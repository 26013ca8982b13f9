import { uniformInt } from 'pure-rand/distribution/uniformInt'
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import type { DriverResult } from './score-round'

/** What the others do in the rounds that are left: by round, by driver; a driver who is not in it does not start. */
export type Outcome = ReadonlyMap<string, ReadonlyMap<string, DriverResult>>

export interface Outcomes {
  /** All there are, each as likely; or so many drawn with this seed. */
  method: { kind: 'exact'; cases: number } | { kind: 'simulated'; draws: number; seed: number }
  each: () => Generator<Outcome>
}

/** One open question: which of `options` happens to `driver` in `round`. */
interface Slot {
  round: string
  driver: string
  options: readonly DriverResult[]
}

/** Each of the others drives again, in each round that is left, one of the runs that they have had: each as likely. */
export function repeatedRuns(
  open: readonly { round: string; drivers: readonly string[] }[],
  runsOf: (driver: string) => readonly DriverResult[],
  limits: { cases: number; draws: number; seed: number },
): Outcomes {
  const slots = open.flatMap(({ round, drivers }) =>
    drivers.flatMap((driver): Slot[] => {
      const options = runsOf(driver)
      return options.length ? [{ round, driver, options }] : []
    }),
  )
  const cases = slots.reduce((n, s) => n * s.options.length, 1)
  const build = (pick: (slot: Slot, at: number) => number): Outcome => {
    const rounds = new Map<string, Map<string, DriverResult>>()
    slots.forEach((slot, at) => {
      const result = slot.options[pick(slot, at)]
      if (!result) return
      const round = rounds.get(slot.round) ?? new Map<string, DriverResult>()
      rounds.set(slot.round, round.set(slot.driver, result))
    })
    return rounds
  }
  if (cases <= limits.cases)
    return {
      method: { kind: 'exact', cases },
      *each() {
        // Counts through all cases, each slot a digit of its own base.
        const digits = slots.map(() => 0)
        for (let n = 0; n < cases; n++) {
          yield build((_, at) => digits[at] ?? 0)
          for (let at = 0; at < slots.length; at++) {
            digits[at] = ((digits[at] ?? 0) + 1) % (slots[at]?.options.length ?? 1)
            if (digits[at] !== 0) break
          }
        }
      },
    }
  return {
    method: { kind: 'simulated', draws: limits.draws, seed: limits.seed },
    *each() {
      const rng = xoroshiro128plus(limits.seed)
      for (let n = 0; n < limits.draws; n++)
        yield build((slot) => uniformInt(rng, 0, slot.options.length - 1))
    },
  }
}

/** The others in every order, each as likely, in each of the rounds that are left. Their places are 1 to so many as they are. */
export function allOrders(
  rounds: readonly string[],
  drivers: readonly string[],
  limits: { cases: number; draws: number; seed: number },
): Outcomes {
  let orders = 1
  for (let n = 2; n <= drivers.length && orders <= limits.cases; n++) orders *= n
  const cases = orders ** rounds.length
  const placed = (order: readonly string[]) =>
    new Map(order.map((driver, i): [string, DriverResult] => [driver, { laps: 0, seconds: 0, place: i + 1 }]))
  if (cases <= limits.cases)
    return {
      method: { kind: 'exact', cases },
      *each() {
        const every = [...permutations(drivers)].map(placed)
        for (let n = 0; n < cases; n++) {
          const outcome = new Map<string, ReadonlyMap<string, DriverResult>>()
          let rest = n
          for (const round of rounds) {
            const order = every[rest % orders]
            if (order) outcome.set(round, order)
            rest = Math.floor(rest / orders)
          }
          yield outcome
        }
      },
    }
  return {
    method: { kind: 'simulated', draws: limits.draws, seed: limits.seed },
    *each() {
      const rng = xoroshiro128plus(limits.seed)
      for (let n = 0; n < limits.draws; n++)
        yield new Map(
          rounds.map((round) => {
            const order = [...drivers]
            for (let i = order.length - 1; i > 0; i--) {
              const j = uniformInt(rng, 0, i)
              const [a, b] = [order[i], order[j]]
              if (a !== undefined && b !== undefined) [order[i], order[j]] = [b, a]
            }
            return [round, placed(order)]
          }),
        )
    },
  }
}

function* permutations<T>(list: readonly T[]): Generator<T[]> {
  const [first, ...rest] = list
  if (first === undefined) return yield []
  for (const order of permutations(rest))
    for (let at = 0; at <= order.length; at++) yield [...order.slice(0, at), first, ...order.slice(at)]
}
