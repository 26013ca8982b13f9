import type { BoardView } from '../board/board-view'
import type { Heat } from '../board/collections'
import { heatName } from '../board/heat-name'
import type { HeatTitle } from './import-plan'
import type { ListedHeat } from './running-order'

export const titleOfListed = (heatId: string, heat: ListedHeat, className: string): HeatTitle => ({
  heatId,
  round: heat.round,
  className,
  name: heatName(heat, className),
})

export const titleOfHeat = (view: BoardView, heat: Heat): HeatTitle => {
  const className = view.classes.get(heat.classId)?.name ?? ''
  return {
    heatId: heat.id,
    round: view.rounds.get(heat.roundId)?.name ?? '',
    className,
    name: heatName(heat, className),
  }
}

/** `Round 2, 4WD Modified, heat 5` */
export const heatTitleText = (t: HeatTitle): string =>
  [t.round, t.className, t.name].filter((s) => s !== '').join(', ')
