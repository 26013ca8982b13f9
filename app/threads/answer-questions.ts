import type { DeskOrder, DeskReply, Tasks } from './desk-messages'
import { laterTurn } from './later-turn'

/** An answer; or, step by step, what is known of it so far, of which the last is returned. Between two steps the worker hears what else is asked. */
export type Steps<A> = A | Promise<A> | Generator<A, A> | AsyncGenerator<A, A>

/** How each place's questions are answered. Where several wait, the first of these goes first. */
export type Answerers<T extends Tasks<T>> = {
  [K in keyof T]: (question: T[K]['question']) => Steps<T[K]['answer']>
}

interface Waiting {
  n: number
  question: unknown
  steps: Generator<unknown, unknown> | AsyncGenerator<unknown, unknown> | null
  /** So many parts were answered. */
  told: number
}

interface WorkParts<T extends Tasks<T>> {
  /** Of one place, or how all places are answered. */
  answererOf: (place: keyof T) => (question: never) => Steps<T[keyof T]['answer']>
  /** Those that go before others, in this order. */
  first: readonly (keyof T)[]
  say: (reply: DeskReply<T>) => void
  /** Arrange for `step` to be called in a later turn. */
  soon: () => void
}

/** The worker's turn-taking: a step of one question at a time, everybody's first before anybody's second; only the latest of each place. */
export class QuestionWork<T extends Tasks<T>> {
  readonly #parts: WorkParts<T>
  readonly #waiting = new Map<keyof T, Waiting>()
  #isScheduled = false

  constructor(parts: WorkParts<T>) {
    this.#parts = parts
  }

  take(order: DeskOrder<T>): void {
    this.#waiting.delete(order.place)
    if (order.n === null) return
    this.#waiting.set(order.place, { n: order.n, question: order.question, steps: null, told: 0 })
    this.#schedule()
  }

  async step(): Promise<void> {
    const next = this.#next()
    if (next) {
      const [place, work] = next
      const reply = await this.#replyOf(place, work)
      // While it was worked on another may have taken its place.
      if (this.#waiting.get(place) === work) {
        work.told++
        if ('failed' in reply || reply.isLast) this.#waiting.delete(place)
        this.#parts.say(reply)
      }
    }
    this.#isScheduled = false
    if (this.#waiting.size > 0) this.#schedule()
  }

  #next(): [keyof T, Waiting] | undefined {
    const { first } = this.#parts
    const rank = (place: keyof T) => (first.includes(place) ? first.indexOf(place) : first.length)
    return [...this.#waiting].sort(([p, a], [q, b]) => a.told - b.told || rank(p) - rank(q))[0]
  }

  async #replyOf(place: keyof T, work: Waiting): Promise<DeskReply<T>> {
    const { n } = work
    try {
      if (!work.steps) {
        const begun: unknown = this.#parts.answererOf(place)(work.question as never)
        if (!isSteps(begun)) return { n, answer: await begun, isLast: true }
        work.steps = begun
      }
      const { value, done } = await work.steps.next()
      return { n, answer: value, isLast: done === true }
    } catch (error) {
      return { n, failed: error instanceof Error ? error.message : String(error) }
    }
  }

  #schedule(): void {
    if (this.#isScheduled) return
    this.#isScheduled = true
    this.#parts.soon()
  }
}

const isSteps = (x: unknown): x is NonNullable<Waiting['steps']> =>
  typeof x === 'object' && x !== null && 'next' in x && 'throw' in x

/** In a worker: answers what is asked at the page's desk. */
export function answerQuestions<T extends Tasks<T>>(answerers: Answerers<T>): void {
  serve<T>((place) => answerers[place], Object.keys(answerers) as (keyof T)[])
}

/** The same where every place is asked the same kind of question. */
export function answerEverywhere<Q, A>(answerer: (question: Q) => Steps<A>): void {
  serve<Record<string, { question: Q; answer: A }>>(() => answerer, [])
}

function serve<T extends Tasks<T>>(answererOf: WorkParts<T>['answererOf'], first: readonly (keyof T)[]) {
  const work: QuestionWork<T> = new QuestionWork({
    answererOf,
    first,
    say: (reply) => self.postMessage(reply),
    soon: laterTurn(() => void work.step()),
  })
  self.onmessage = ({ data }: MessageEvent<DeskOrder<T>>) => work.take(data)
}
