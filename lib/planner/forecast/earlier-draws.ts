import { equalityDeep } from 'lib0/function'
import type { DrawnOrder } from './draw-order'
import { comingHeats, type OrderQuestion } from './order-question'

/**
 * What was drawn for an earlier question, for this one's heats: what a screen shows for the moment in which the draws of its own are made. What was stamped
 * between the two stands as it was stamped; heats to come stand where they were expected. Undefined where more than that has happened: the heats to come
 * must be the last ones of those before, planned as they were.
 */
export function earlierDraws(
  question: OrderQuestion,
  earlier: OrderQuestion,
  drawn: DrawnOrder,
): DrawnOrder | undefined {
  const coming = comingHeats(question)
  const from = drawn.starts.length - coming.length
  if (from < 0 || !equalityDeep(coming, comingHeats(earlier).slice(from))) return undefined
  return {
    starts: drawn.starts.slice(from),
    gapMeans: drawn.gapMeans,
    earlier: { starts: drawn.starts, seen: earlier.seen },
  }
}
