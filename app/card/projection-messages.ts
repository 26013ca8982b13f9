/** What a lap does, as far as it is known: the best estimate, and then the same with its ± and what that rests on. */
export interface LapPart {
  withSpread: boolean
  /** `CardProjections['figures']` as JSON: a string crosses at a fraction of what the object costs the screen's thread. */
  figures: string
}

/** A place for each card, or trial of one. The question is a ground (`CardGround.key`), the basis as JSON. */
export type ProjectionTasks = Record<string, { question: string; answer: LapPart }>
