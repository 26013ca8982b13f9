import type { DrawnOrder } from './draw-order'
import { comingHeats, type OrderQuestion } from './order-question'

/**
 * What was drawn for an earlier question as far as it speaks of this one's heats: what a screen shows for the moment in which the draws of its own are made.
 * What is stamped meanwhile stands as it was stamped; heats to come stand where they were expected. Undefined where a heat to come was not drawn then.
 */
export function earlierDraws(
  question: OrderQuestion,
  earlier: OrderQuestion,
  drawn: DrawnOrder,
): DrawnOrder | undefined {
  const at = new Map(comingHeats(earlier).map((l, k) => [l.heat.id, drawn.starts[k]]))
  const starts = comingHeats(question).map((l) => at.get(l.heat.id))
  if (!starts.every((s) => s !== undefined)) return undefined
  return { starts, gapMeans: drawn.gapMeans, earlier: { starts: drawn.starts, seen: earlier.seen } }
}
