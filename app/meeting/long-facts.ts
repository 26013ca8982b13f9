import type { DrawnOrder, OrderQuestion } from '@/lib/planner'

/** What takes too long for a screen's own thread, by the name of its fact (`workedOut`). */
export type LongFacts = {
  draws: { question: OrderQuestion; answer: DrawnOrder }
}
