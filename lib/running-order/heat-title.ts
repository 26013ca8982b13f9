import type { BoardView } from '../board/board-view'
import type { Heat } from '../board/collections'
import type { HeatTitle } from './import-plan'
import type { ListedHeat } from './running-order'

export const titleOfListed = (heatId: string, heat: ListedHeat, className: string): HeatTitle => ({
  heatId,
  round: heat.round,
  className,
  name: heat.label || `Heat ${heat.number}`,
})

export const titleOfHeat = (view: BoardView, heat: Heat): HeatTitle => ({
  heatId: heat.id,
  round: view.rounds.get(heat.roundId)?.name ?? '',
  className: view.classes.get(heat.classId)?.name ?? '',
  name: heat.label || `Heat ${heat.number ?? '?'}`,
})

/** `Round 2, 4WD Modified, heat 5` */
export const heatTitleText = (t: HeatTitle): string =>
  [t.round, t.className, t.name.replace(/^Heat /, 'heat ')].filter((s) => s !== '').join(', ')
