import type { BoardView } from '../board'
import { carLooseEnds } from './car-loose-ends'
import { conflictLooseEnds } from './conflict-loose-ends'
import { dayDuties } from './day-duties'
import { dutyLooseEnds } from './duty-loose-ends'
import { byBite, type LooseEnd } from './loose-end'
import { planLooseEnds } from './plan-watch'
import { runLooseEnds } from './run-loose-ends'
import { tireLooseEnds } from './tire-loose-ends'
import { nextRunOf, runsOf, type RunInfo } from './runs'

/**
 * Everything that would stop or hurt a coming run, most urgent first. Found from the board alone, so it holds after any merge: two phones that
 * were both right offline can be wrong together.
 */
export function looseEnds(
  view: BoardView,
  now: number,
  runs: readonly RunInfo[] = runsOf(view, now),
): LooseEnd[] {
  const ends: LooseEnd[] = []
  for (const car of view.cars.live) {
    const run = nextRunOf(runs, car.id)
    if (run) ends.push(...carLooseEnds(view, run), ...runLooseEnds(view, run, now))
  }
  ends.push(
    ...conflictLooseEnds(view, runs, now),
    ...tireLooseEnds(view, runs),
    ...planLooseEnds(view, runs, now),
    ...dutyLooseEnds(dayDuties(view, now), now),
  )
  return ends.sort(byBite)
}
