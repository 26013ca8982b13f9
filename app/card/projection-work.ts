import type { CardProjections, ProjectionBasis } from '@/lib/card'
import { packAnswer, type ProjectionAnswer, type ProjectionQuestions } from './projection-messages'

/**
 * Answers are held back this long, ms, so that many cards' cost the screen one turn instead of one each; the last is never held back. The ± can wait
 * for the others': without it a figure stands already.
 */
const HOLD_MS = { estimate: 1500, spread: 8000 }

/** The worker's turn-taking: works a list off question by question, hears of a newer list between any two, and answers in batches. */
export class ProjectionWork {
  readonly #project: (basis: ProjectionBasis, withSpread: boolean) => CardProjections
  readonly #answer: (answers: readonly ProjectionAnswer[]) => void
  readonly #soon: () => void
  readonly #now: () => number
  #wanted: ProjectionQuestions = []
  #done: ProjectionAnswer[] = []
  #heldSince = 0
  #scheduled = false

  /** `soon`: arrange for `step` to be called in a later turn. */
  constructor(o: {
    project: (basis: ProjectionBasis, withSpread: boolean) => CardProjections
    answer: (answers: readonly ProjectionAnswer[]) => void
    soon: () => void
    now: () => number
  }) {
    this.#project = o.project
    this.#answer = o.answer
    this.#soon = o.soon
    this.#now = o.now
  }

  want(questions: ProjectionQuestions): void {
    const isDone = (q: ProjectionQuestions[number]) =>
      this.#done.some((a) => a.id === q.id && a.withSpread === q.withSpread)
    this.#wanted = questions.filter((q) => !isDone(q))
    this.#schedule()
  }

  step(): void {
    this.#scheduled = false
    const [next, ...rest] = this.#wanted
    this.#wanted = rest
    if (next) {
      if (this.#done.length === 0) this.#heldSince = this.#now()
      this.#done.push(this.#compute(next))
    }
    const after = rest[0]
    // Everybody's best estimate goes out at once, before anybody's ± is begun.
    const isSection = !after || after.withSpread !== next?.withSpread
    const hold = next?.withSpread ? HOLD_MS.spread : HOLD_MS.estimate
    if (this.#done.length && (isSection || this.#now() - this.#heldSince >= hold)) {
      this.#answer(this.#done)
      this.#done = []
    }
    if (after) this.#schedule()
  }

  #schedule(): void {
    if (this.#scheduled) return
    this.#scheduled = true
    this.#soon()
  }

  #compute({ id, ground, withSpread }: ProjectionQuestions[number]): ProjectionAnswer {
    try {
      const projections = this.#project(JSON.parse(ground) as ProjectionBasis, withSpread)
      return packAnswer({ id, withSpread }, projections)
    } catch (error) {
      return {
        id,
        withSpread,
        kind: 'failed',
        message: error instanceof Error ? error.message : String(error),
      }
    }
  }
}
