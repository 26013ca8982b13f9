import { derived, MEMORY, type Memory } from './derived'

/** A fact that may take longer to work out than a screen can wait. */
export interface LongFact<V extends object, Q, A> {
  /** How whoever works it out elsewhere knows it. */
  name: string
  /** All that the answer rests on, as plain data: it goes to another thread. */
  question: (board: V) => Q
  answer: (question: Q) => A
  /** Is it worth asking elsewhere? */
  isLong: (question: Q) => boolean
  /** What stands until the answer is there, made of the last one; undefined where that says nothing about this question, which is then worked out at once. */
  meanwhile: (question: Q, last: { question: Q; answer: A }) => A | undefined
}

/** Another thread that works out long facts. */
export interface Elsewhere {
  /**
   * Of one name the latest question counts, and an earlier one may stay without an answer. `done` is called in a later turn; with null where it can't be
   * worked out there.
   */
  workOut(name: string, question: unknown, done: (worked: { answer: unknown } | null) => void): void
}

/**
 * A long fact as a fact of the board: its first answer, and every short one, is worked out here and now. Of the others those about which the last answer says
 * something (`meanwhile`) are worked out elsewhere where the board was lent a thread (`BoardGraph.lend`), and whoever watches is told when they arrive.
 */
export function workedOut<V extends object, Q, A>(fact: LongFact<V, Q, A>): (board: V) => A {
  const question = derived(fact.question)
  return derived((board: V): A => {
    const memory = (board as { [MEMORY]?: Memory })[MEMORY]
    const asked = question(board)
    return memory?.longAnswer ? memory.longAnswer(fact, asked) : fact.answer(asked)
  })
}
