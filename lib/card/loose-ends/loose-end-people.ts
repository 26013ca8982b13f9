import type { BoardView } from '../../board'
import type { RunInfo } from '../day/runs'

export const MINUTE = 60_000

/** Who works on the run's car: the mechanic promised to the run, else the car's own. */
export function mechanicsOf(view: BoardView, run: RunInfo): string[] {
  const id = run.run?.mechanicId?.v ?? view.cars.get(run.carId)?.mechanicId
  return id ? [id] : []
}
