import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'
import { absent, type Maybe } from '../maybe'
import { RangeProblem } from '../range-problem'
import { checkPack, type Pack } from './pack'
import { restVoltage, stretchAt } from './rest-voltage'

export interface ChargeQuestion {
  fromSoc: number
  toSoc: number
  /** Constant current, A. */
  currentA: number
  fullVoltsPerCell: number
  /** The charger stops when the tapering current falls to this, A. */
  cutoffA: number
}

export interface ChargeTime {
  constantCurrentS: number
  constantVoltageS: number
  totalS: number
  /** Where the charge ends: at `toSoc`, or earlier when the current has tapered to the cut-off. */
  endSoc: number
}

/**
 * Time of a CC-CV charge. Constant current until the terminal voltage (rest + I R per cell) reaches full; then I = (full - rest)/R,
 * on each straight stretch of the table an exponential with time constant R Q / slope. A real taper is longer: diffusion adds to R.
 * Charge only attended, on a fire-safe surface, within the maker's and the event's rates.
 * @returns absence when a table without slope, or a pack at its full voltage, leaves nothing to taper
 * @throws RangeProblem
 */
export function chargeTime(pack: Pack, question: ChargeQuestion): Maybe<ChargeTime> {
  checkObject('charge', question)
  const p = checkPack(pack)
  const table = p.restVoltageTable
  const span = { min: table[0]?.[0] ?? 0, max: table.at(-1)?.[0] ?? 1 }
  const from = checkNumber('fromSoc', question.fromSoc, span)
  const to = checkNumber('toSoc', question.toSoc, span)
  if (to < from) throw new RangeProblem('toSoc', to, `not below fromSoc (${from})`)
  const current = checkNumber('currentA', question.currentA, { ...limits.current, min: 1e-3 })
  const cutoff = checkNumber('cutoffA', question.cutoffA, { ...limits.current, min: 1e-3 })
  const full = checkNumber('fullVoltsPerCell', question.fullVoltsPerCell, {
    ...limits.cellVoltage,
    above: true,
  })
  const r = p.resistanceOhm / p.cells
  const coulombs = p.capacityAh * 3600
  const socAtVoltage = (v: number) => socAt(table, v)

  const ccEnd = Math.min(to, Math.max(from, socAtVoltage(full - current * r)))
  const constantCurrentS = ((ccEnd - from) * coulombs) / current
  const done = (cv: number, endSoc: number): ChargeTime => ({
    constantCurrentS,
    constantVoltageS: cv,
    totalS: constantCurrentS + cv,
    endSoc,
  })
  if (ccEnd >= to) return done(0, to)
  if (cutoff >= current) return done(0, ccEnd)
  // Without resistance there is no taper: the current stops when the rest voltage is full.
  if (r === 0) return done(0, ccEnd)
  if (full <= restVoltage(table, ccEnd)) return absent('the cells rest at or above the full voltage already')

  const cvEnd = Math.min(to, Math.max(ccEnd, socAtVoltage(full - cutoff * r)))
  let constantVoltageS = 0
  for (let soc = ccEnd; soc < cvEnd - 1e-15;) {
    const i = Math.min(stretchAt(table, soc + 1e-12, 0), table.length - 2)
    const [a, b] = [table[i], table[i + 1]]
    if (!a || !b) break
    const next = Math.min(cvEnd, b[0])
    const slope = (b[1] - a[1]) / (b[0] - a[0])
    const i0 = (full - (a[1] + slope * (soc - a[0]))) / r
    const i1 = (full - (a[1] + slope * (next - a[0]))) / r
    if (i1 <= 0) return absent('the charge never ends: the current tapers towards nothing before its goal')
    constantVoltageS +=
      slope * (next - soc) < 1e-12
        ? ((next - soc) * coulombs) / i0
        : ((r * coulombs) / slope) * Math.log(i0 / i1)
    soc = next
  }
  return done(constantVoltageS, cvEnd)
}

/** State of charge where a cell rests at v: 0-end or 1-end of the table outside it; the upper end of a level stretch. */
function socAt(table: Pack['restVoltageTable'], v: number): number {
  let soc = table[0]?.[0] ?? 0
  for (let i = 0; i + 1 < table.length; i++) {
    const [a, b] = [table[i], table[i + 1]]
    if (!a || !b || v < a[1]) break
    soc = v >= b[1] ? b[0] : a[0] + ((b[0] - a[0]) * (v - a[1])) / (b[1] - a[1])
  }
  return soc
}
