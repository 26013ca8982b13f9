import { heatName, type BoardView } from '../../board'
import { listText } from '../../core/list-text'
import type { LooseEnd } from '../loose-ends/loose-end'
import { MINUTE, mechanicsOf } from '../loose-ends/loose-end-people'
import { nextRunOf, type RunInfo } from '../day/runs'
import { debriefLacks } from './debrief-state'

/** Older debriefs are not asked for any more: nobody knows the figures then. Our choice. */
const ASKED_FOR_MS = 3 * 60 * MINUTE
/** Before its call a car has other needs. Our choice. */
const BEFORE_CALL_MS = 20 * MINUTE
/** The first minutes belong to the car's own people: nobody is reminded at once. Our choice. */
const AFTER_FINISH_MS = 3 * MINUTE

/** The last run of each car whose debrief lacks what its projections need: calm, after all that a coming run needs. */
export function debriefLooseEnds(view: BoardView, runs: readonly RunInfo[], now: number): LooseEnd[] {
  return view.cars.live.flatMap((car): LooseEnd[] => {
    const last = runs.findLast((r) => r.carId === car.id && r.state === 'finished' && r.run?.record?.v)
    const finishedAt = last?.heat.finishedAt?.v ?? last?.startAt
    if (!last || !finishedAt) return []
    if (now - finishedAt < AFTER_FINISH_MS || now - finishedAt > ASKED_FOR_MS) return []
    const call = nextRunOf(runs, car.id)?.callAt
    if (call && call - now < BEFORE_CALL_MS) return []
    const lacks = debriefLacks(view, last.runId)
    if (lacks.length === 0) return []
    return [
      {
        id: `debrief:${last.runId}`,
        title: `${last.carName}, ${heatName(last.heat, last.raceClass?.name)}: ${listText(lacks.map((l) => l.what))} not entered`,
        why: `would narrow ${listText(lacks.map((l) => l.helps))} on its next card`,
        who: { personIds: mechanicsOf(view, last), role: 'mechanic' },
        bitesAt: null,
        isCalm: true,
        carId: car.id,
        runId: last.runId,
        act: { kind: 'open-debrief', runId: last.runId },
      },
    ]
  })
}
