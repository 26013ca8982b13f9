import type { BoardView } from '../../board'
import { figureText } from '../../core/figure-text'
import type { LooseEnd } from './loose-end'
import { mechanicsOf } from './loose-end-people'
import { nextRunOf, type RunInfo } from '../day/runs'
import { serviceOf } from './service-due'

/** Services that are due on cars of this day, or whose count no longer tells: calm, since no run waits for them. */
export const serviceLooseEnds = (view: BoardView, runs: readonly RunInfo[]): LooseEnd[] =>
  view.cars.live.flatMap((car) => {
    const run = nextRunOf(runs, car.id) ?? runs.findLast((r) => r.carId === car.id)
    if (!run) return []
    return serviceOf(view, car)
      .filter((s) => s.used >= 1 || s.isBehind)
      .map(({ rule, runs: since, hours, last, isBehind }): LooseEnd => ({
        id: `service:${car.id}:${rule.id}`,
        title: `${run.carName}: ${rule.name ?? 'service'}`,
        why: isBehind
          ? `the car’s count is less than when it was last done (${last?.runs ?? 0} runs): correct it, or sign the service again`
          : `${since} runs, ${figureText(hours, { digits: 1 })} h since ${last ? 'it was last done' : 'the count began'}`,
        who: { personIds: mechanicsOf(view, run), role: 'mechanic' },
        bitesAt: null,
        isCalm: true,
        carId: car.id,
        runId: null,
        act: { kind: 'open-kit', collection: 'cars', recordId: car.id },
      }))
  })
