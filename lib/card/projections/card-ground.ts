import { derived, type Board } from '../../derived'
import type { BoardView } from '../../board'
import { quickProjections, type CardProjections } from './projections'
import type { ProjectionBasis, Trial } from './projections-basis'
import { projectionBasis } from './run-records'
import { runGround } from '../day/runs'

export interface CardGround {
  basis: ProjectionBasis
  /** The basis as JSON: what the simulator is asked with. Equal keys, equal projections. */
  key: string
  quick: CardProjections
}

const basisOn = (view: BoardView, carId: string, runId: string, trial?: Trial): ProjectionBasis =>
  projectionBasis(view, carId, runId === '' ? undefined : runGround(view, runId), trial)

const basisOf = derived((board: Board, carId: string, runId: string) => basisOn(board, carId, runId))
const keyOf = derived((board: Board, carId: string, runId: string) =>
  JSON.stringify(basisOf(board, carId, runId)),
)
const quickOf = derived((board: Board, carId: string, runId: string) =>
  quickProjections(basisOf(board, carId, runId)),
)

/** What a card's projections stand on. `runId`: the run that it is prepared for; empty when there is none. */
export const cardGround = derived((board: Board, carId: string, runId: string): CardGround => ({
  basis: basisOf(board, carId, runId),
  key: keyOf(board, carId, runId),
  quick: quickOf(board, carId, runId),
}))

/** The same with trial values in place of the card's. */
export function trialGround(view: BoardView, carId: string, runId: string, trial: Trial): CardGround {
  const basis = basisOn(view, carId, runId, trial)
  return { basis, key: JSON.stringify(basis), quick: quickProjections(basis) }
}
