import type { BoardView } from '../board/board-view'
import type { Heat } from '../board/collections'
import type { HeatTitle } from './import-plan'
import type { ListedHeat } from './running-order'

export const titleOfListed = (heatId: string, heat: ListedHeat, className: string): HeatTitle => ({
  heatId,
  round: heat.round,
  className,
  name: heatName({ ...heat, className }),
})

export const titleOfHeat = (view: BoardView, heat: Heat): HeatTitle => {
  const className = view.classes.get(heat.classId)?.name ?? ''
  return {
    heatId: heat.id,
    round: view.rounds.get(heat.roundId)?.name ?? '',
    className,
    name: heatName({ ...heat, className }),
  }
}

const FORMER_NUMBER = /\b(heat|race|run)\s*(no\.?|#)?\s*\d+\b/gi

/**
 * What a heat's own label says beyond its class and its number: organizers often repeat the class there, and count the heats of a class beside
 * those of the day. `2WD Modified, A final, leg 1` is `A final, leg 1`; `2WD Modified, heat 1` of heat 5 is nothing.
 */
export function heatLabelBeside(heat: NamedHeat): string {
  let rest = heat.label ?? ''
  const { className, number } = heat
  const at = className ? rest.toLowerCase().indexOf(className.toLowerCase()) : -1
  if (className && at >= 0) rest = rest.slice(0, at) + rest.slice(at + className.length)
  if (number !== undefined) rest = rest.replace(FORMER_NUMBER, '')
  return rest
    .replace(/([,·:–-])(\s*[,·:–-])+/g, '$1')
    .replace(/^[\s,·:–-]+|[\s,·:–-]+$/g, '')
    .replace(/\s+/g, ' ')
}

interface NamedHeat {
  number?: number | undefined
  label?: string | undefined
  className?: string | undefined
  isBreak?: boolean | undefined
}

/** `Heat 5, A final`: one number for one heat, the day's own where there is one. */
export function heatName(heat: NamedHeat): string {
  const beside = heatLabelBeside(heat)
  if (heat.isBreak || heat.number === undefined) return beside || (heat.isBreak ? 'Break' : 'Heat ?')
  return beside ? `Heat ${heat.number}, ${beside}` : `Heat ${heat.number}`
}

/** `Round 2, 4WD Modified, heat 5` */
export const heatTitleText = (t: HeatTitle): string =>
  [t.round, t.className, t.name.replace(/^Heat /, 'heat ')].filter((s) => s !== '').join(', ')
