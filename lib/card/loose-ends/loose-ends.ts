import type { BoardView } from '../../board'
import { carLooseEnds } from './car-loose-ends'
import { conflictLooseEnds } from './conflict-loose-ends'
import { dayDuties, type DayDuties } from '../duties/day-duties'
import { debriefLooseEnds } from '../debrief/debrief-loose-ends'
import { dutyLooseEnds } from './duty-loose-ends'
import { byBite, type LooseEnd } from './loose-end'
import { planLooseEnds } from '../plan/plan-watch'
import { runLooseEnds } from './run-loose-ends'
import { tireLooseEnds } from './tire-loose-ends'
import { nextRunOf, runsOf, type RunInfo } from '../day/runs'

/** What stops or hurts one coming run: the car's own values, its pack, tires, checks, the driver's word. */
export const endsOfRun = (view: BoardView, run: RunInfo, now: number): LooseEnd[] => [
  ...carLooseEnds(view, run),
  ...runLooseEnds(view, run, now),
]

/**
 * Everything that would stop or hurt a coming run, most urgent first. Found from the board alone, so it holds after any merge: two phones that
 * were both right offline can be wrong together.
 */
export function looseEnds(
  view: BoardView,
  now: number,
  runs: readonly RunInfo[] = runsOf(view, now),
  duties: DayDuties = dayDuties(view, now),
  endsOf: (run: RunInfo) => readonly LooseEnd[] = (run) => endsOfRun(view, run, now),
): LooseEnd[] {
  return [
    ...view.cars.live.flatMap((car) => {
      const run = nextRunOf(runs, car.id)
      return run ? endsOf(run) : []
    }),
    ...conflictLooseEnds(view, runs, now),
    ...tireLooseEnds(view, runs),
    ...planLooseEnds(view, runs, now),
    ...dutyLooseEnds(duties, now),
    ...debriefLooseEnds(view, runs, now),
  ].sort(byBite)
}
