import type { BoardView } from '../board/board-view'
import { orderBase, orderOfStart } from '../board/order-of-start'
import type { ListedHeat } from './running-order'

/**
 * The `order` of each heat: minutes from the first day of the meeting to its planned start, so that heats of other files and heats added
 * by hand fall into place; heats with one start, or with none, follow each other as listed.
 */
export function heatOrders(
  view: BoardView,
  heats: readonly { heatId: string; listed: ListedHeat }[],
): Map<string, number> {
  const starts = heats.flatMap((h) => (h.listed.plannedStart === null ? [] : [h.listed.plannedStart]))
  const base = orderBase(view, starts)
  const orders = new Map<string, number>()
  const used = new Set<number>()
  let last = starts.length > 0 ? 0 : Math.max(0, ...view.heats.live.map((h) => h.order ?? 0))
  for (const { heatId, listed } of heats) {
    let order = listed.plannedStart === null ? step(last) : orderOfStart(listed.plannedStart, base)
    while (used.has(order)) order = step(order)
    used.add(order)
    orders.set(heatId, order)
    last = order
  }
  return orders
}

const step = (order: number) => Math.round((order + 0.001) * 1000) / 1000
