import type { Heat } from '@/lib/board'
import type { RaceDay } from '../use-race-day'

/** `Heat 7, Round 2, 4WD Modified` */
export const heatName = (day: RaceDay, heat: Heat): string =>
  [
    `Heat ${heat.number ?? '?'}`,
    day.view.rounds.get(heat.roundId)?.name,
    day.view.classes.get(heat.classId)?.name,
  ]
    .filter(Boolean)
    .join(', ')
