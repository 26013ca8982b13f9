import type { BoardView, Heat } from '@/lib/board'

/** `Heat 7, Round 2, 4WD Modified` */
export const heatName = (view: Pick<BoardView, 'rounds' | 'classes'>, heat: Heat): string =>
  [`Heat ${heat.number ?? '?'}`, view.rounds.get(heat.roundId)?.name, view.classes.get(heat.classId)?.name]
    .filter(Boolean)
    .join(', ')
