import type { BoardView } from '../../board'
import { cardRows } from '../setup-card/card-rows'
import { digestOf } from './digest'
import type { RunInfo } from '../day/runs'

/** The part of the board that an accept covers. */
export type AcceptGround = Pick<BoardView, 'cars' | 'cardValues' | 'controllerParameters'>
export type AcceptedRun = Pick<RunInfo, 'runId' | 'carId' | 'run'>

/**
 * What a driver's accept covers: every assigned and fitted value of the card and whether it is read back, the motor and speed control, the
 * pack and the tires, promised and in place. Sign-offs are not covered: closing one after the accept harms nobody, and the change that opens
 * one is covered itself.
 */
export function coveredByAccept(view: AcceptGround, run: AcceptedRun): unknown {
  const car = view.cars.get(run.carId)
  const rows = cardRows(view, run.carId).filter((r) => r.state !== 'empty')
  return {
    run: run.runId,
    car: run.carId,
    motor: car?.motorId ?? null,
    control: car?.controllerId ?? null,
    values: rows.map((r) => [r.parameter.id, r.assigned, r.fitted, r.readBack]),
    pack: [run.run?.packId?.v ?? null, run.run?.packIn?.v ?? null],
    tires: [run.run?.tireSetId?.v ?? null, run.run?.tiresOn?.v ?? null],
  }
}

export const runDigest = (view: AcceptGround, run: AcceptedRun): string =>
  digestOf(coveredByAccept(view, run))

/** Where the driver's accept stands. */
export function acceptState(view: BoardView, run: RunInfo): 'none' | 'valid' | 'void' {
  const accepted = run.run?.accepted
  if (!accepted) return 'none'
  return accepted.covers === runDigest(view, run) ? 'valid' : 'void'
}
