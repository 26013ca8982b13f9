import { parametersOf, type BoardView } from '../../board'
import { derived, type Board } from '../../derived'
import { projectionBasis, type ProjectionBasis, type Trial } from '../projections-basis'
import { runGround, type RunGround } from '../runs'

/** Stands for a value that nobody had said then: no number, and so no input. */
const NOT_SAID = ''

/**
 * What a car ran with, as a trial: its record's values in place of what the card says today, its pack and tires. Null when no record was frozen.
 */
export function frozenTrial(view: BoardView, carId: string, { run }: RunGround): Trial | null {
  const record = run?.record?.v
  if (!record) return null
  const trial: Record<string, Trial[string]> = {}
  for (const { id } of parametersOf(view, carId)) {
    const then = record.values[id]
    trial[id] = then?.fitted ?? then?.assigned ?? NOT_SAID
  }
  const motor = record.values['motor']
  if (!motor) delete trial['motor']
  if (record.packId) trial['pack'] = record.packId
  if (record.tireSetId) trial['tires'] = record.tireSetId
  // The set's own diameter counts where the card had none: an empty text would hide it.
  if (trial['tireDiameter'] === NOT_SAID) delete trial['tireDiameter']
  // A pack's voltage is of today; that of the start is only known while nothing was measured since.
  const volts = view.packs.get(record.packId)?.restVoltageV
  if (volts && volts.at <= record.frozenAt && trial['startVoltage'] === NOT_SAID) delete trial['startVoltage']
  return trial
}

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
  const basis = projectionBasis(board, carId, ground, trial)
  return { basis, key: JSON.stringify(basis) }
})
