import { heatName } from '../../board'
import { derived, type Board } from '../../derived'
import { heatsInOrder } from './day-forecast'

/** A heat that was stamped, and how late it began. */
export interface DriftBar {
  heatId: string
  number: number | null
  name: string
  /** ms since the epoch. */
  plannedAt: number
  startedAt: number
  /** s; negative: early. */
  lateS: number
}

/** How late each stamped heat began by the plan, in the order of the day: the day's drift as it came about. */
export const dayDrift = derived((board: Board): readonly DriftBar[] =>
  heatsInOrder(board).flatMap((h) => {
    const startedAt = h.startedAt?.v
    if (h.isBreak || !startedAt || h.plannedStart === undefined) return []
    return {
      heatId: h.id,
      number: h.number ?? null,
      name: heatName(h, board.classes.get(h.classId)?.name),
      plannedAt: h.plannedStart,
      startedAt,
      lateS: Math.round((startedAt - h.plannedStart) / 1000),
    }
  }),
)
