import { heatName, heatNameFirst, type BoardView, type Heat } from '@/lib/board'

type Named = Pick<BoardView, 'rounds' | 'classes'>

/** `heat 7`, `A final, heat 31` */
export const heatIn = (view: Pick<Named, 'classes'>, heat: Heat): string =>
  heatName(heat, view.classes.get(heat.classId)?.name)

/** The same at the start of a line: `Heat 7`. */
export const heatFirst = (view: Pick<Named, 'classes'>, heat: Heat): string =>
  heatNameFirst(heat, view.classes.get(heat.classId)?.name)

/** `Heat 7, Round 2, 4WD Modified` */
export const heatInFull = (view: Named, heat: Heat): string =>
  [heatFirst(view, heat), view.rounds.get(heat.roundId)?.name, view.classes.get(heat.classId)?.name]
    .filter(Boolean)
    .join(', ')
