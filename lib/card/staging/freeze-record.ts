import type { BoardView, RunRecord } from '../../board'
import { cardRows } from '../setup-card/card-rows'
import { factsOf } from './facts'
import { acceptState, runDigest } from './run-digest'
import type { RunInfo } from '../day/runs'

/** The motor's id stands among the values, as if it were one of the card: pages from before it was frozen take such a record as well. */
export const MOTOR_THEN = 'motor'

/** What the car really runs with, to be frozen at the start. */
export function freezeRecord(view: BoardView, run: RunInfo, at: number): RunRecord {
  const rows = cardRows(view, run.carId).filter((r) => r.state !== 'empty')
  const motorId = view.cars.get(run.carId)?.motorId
  return {
    frozenAt: Math.round(at),
    values: {
      ...Object.fromEntries(
        rows.map((r) => [r.parameter.id, { assigned: r.assigned, fitted: r.fitted, readBack: r.readBack }]),
      ),
      ...(motorId && { [MOTOR_THEN]: { assigned: null, fitted: motorId, readBack: true } }),
    },
    packId: run.run?.packIn?.v ?? run.run?.packId?.v ?? null,
    tireSetId: run.run?.tiresOn?.v ?? run.run?.tireSetId?.v ?? null,
    missing: factsOf(view, run)
      .filter((f) => f.state !== 'yes')
      .map((f) => f.fact),
    accepted: acceptState(view, run) === 'valid',
    digest: runDigest(view, run),
  }
}
