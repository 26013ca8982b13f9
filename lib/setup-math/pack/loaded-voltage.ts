import { checkNumber } from '../check-number'
import { limits } from '../limits'
import { checkPack, type Pack } from './pack'
import { restVoltage } from './rest-voltage'

/**
 * Pack voltage under a load at its state of charge, V: cells x rest voltage - I R (Ohm's law; the slower part of the sag of a
 * real cell, its diffusion, comes on top over minutes). Negative would mean that the pack cannot deliver the current: 0 then.
 * @throws RangeProblem
 */
export function loadedVoltage(pack: Pack, loadA: number): number {
  const p = checkPack(pack)
  const rest = p.cells * restVoltage(p.restVoltageTable, p.stateOfCharge)
  return Math.max(0, rest - checkNumber('loadA', loadA, limits.current) * p.resistanceOhm)
}
