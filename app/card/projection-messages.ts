import type { CardProjections } from '@/lib/card'
import type { Refusal } from '@/lib/core/result'

/** A ground to be projected. */
export interface ProjectionQuestion {
  /** The desk's number of the ground. */
  id: number
  /** The basis as JSON: a string crosses at a fraction of what the object costs the screen's thread. */
  ground: string
  /** With the ± and what it rests on. */
  withSpread: boolean
}

/** To the worker: everything that is wanted now, in this order. What an earlier list wanted and this one does not is no longer computed. */
export type ProjectionQuestions = readonly ProjectionQuestion[]

export type ProjectionAnswer = { id: number; withSpread: boolean } & (
  | {
      kind: 'done'
      problem: Refusal | null
      /** `CardProjections['figures']` as JSON: read only where a whole card is open. */
      figures: string
    }
  | { kind: 'failed'; message: string }
)

/** From the worker: what it has finished since it last spoke. */
export type ProjectionAnswers = readonly ProjectionAnswer[]

export function packAnswer(
  { id, withSpread }: Pick<ProjectionQuestion, 'id' | 'withSpread'>,
  { problem, figures }: CardProjections,
): ProjectionAnswer {
  return { id, withSpread, kind: 'done', problem, figures: JSON.stringify(figures) }
}
