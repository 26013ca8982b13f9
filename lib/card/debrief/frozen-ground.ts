import { derived, type Board } from '../../derived'
import type { ProjectionBasis } from '../projections/projections-basis'
import { projectionBasis, startOf } from '../projections/run-records'
import { runGround } from '../day/runs'
import { frozenTrial } from './frozen-trial'

/** What a run's projections stand on when they are made of what it ran with. */
export interface FrozenGround {
  basis: ProjectionBasis
  /** The basis as JSON: what the simulator is asked with. */
  key: string
}

/** Null where no record was frozen. */
export const frozenGround = derived((board: Board, runId: string): FrozenGround | null => {
  const carId = board.entries.get(runId)?.carId
  const ground = runGround(board, runId)
  const trial = carId && ground ? frozenTrial(board, carId, ground) : null
  if (!carId || !trial) return null
  const at = startOf(board, board.entries.get(runId)?.heatId, ground?.run)
  const basis = projectionBasis(board, carId, ground, trial, at)
  return { basis, key: JSON.stringify(basis) }
})
