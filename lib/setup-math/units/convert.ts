import { checkNumber } from '../check-number'
import { RangeProblem } from '../range-problem'

/** One unit: its quantity, and its size in SI, with an offset for temperatures (SI = value x factor + offset). */
interface Unit {
  quantity: string
  factor: number
  offset?: number
}

const inch = 0.0254
const pound = 0.45359237
const poundForce = pound * 9.80665

/**
 * Sizes in SI. Inch, pound (avoirdupois) and standard gravity are exact (NIST SP 811, 2008, B.8); the others follow from them.
 */
export const units = {
  mm: { quantity: 'length', factor: 1e-3 },
  cm: { quantity: 'length', factor: 1e-2 },
  m: { quantity: 'length', factor: 1 },
  in: { quantity: 'length', factor: inch },
  ft: { quantity: 'length', factor: 12 * inch },
  yd: { quantity: 'length', factor: 36 * inch },
  g: { quantity: 'mass', factor: 1e-3 },
  kg: { quantity: 'mass', factor: 1 },
  oz: { quantity: 'mass', factor: pound / 16 },
  lb: { quantity: 'mass', factor: pound },
  N: { quantity: 'force', factor: 1 },
  lbf: { quantity: 'force', factor: poundForce },
  ozf: { quantity: 'force', factor: poundForce / 16 },
  kgf: { quantity: 'force', factor: 9.80665 },
  Nm: { quantity: 'torque', factor: 1 },
  mNm: { quantity: 'torque', factor: 1e-3 },
  'oz-in': { quantity: 'torque', factor: (poundForce / 16) * inch },
  'lb-in': { quantity: 'torque', factor: poundForce * inch },
  'lb-ft': { quantity: 'torque', factor: poundForce * 12 * inch },
  'kg-cm': { quantity: 'torque', factor: 0.0980665 },
  'N/m': { quantity: 'spring rate', factor: 1 },
  'N/mm': { quantity: 'spring rate', factor: 1e3 },
  'lb/in': { quantity: 'spring rate', factor: poundForce / inch },
  'gf/mm': { quantity: 'spring rate', factor: 9.80665 },
  K: { quantity: 'temperature', factor: 1 },
  C: { quantity: 'temperature', factor: 1, offset: 273.15 },
  F: { quantity: 'temperature', factor: 5 / 9, offset: 273.15 - (32 * 5) / 9 },
  'm/s': { quantity: 'speed', factor: 1 },
  'km/h': { quantity: 'speed', factor: 1 / 3.6 },
  mph: { quantity: 'speed', factor: (5280 * 12 * inch) / 3600 },
  W: { quantity: 'power', factor: 1 },
  hp: { quantity: 'power', factor: 550 * poundForce * 12 * inch },
  'rad/s': { quantity: 'turning speed', factor: 1 },
  rpm: { quantity: 'turning speed', factor: Math.PI / 30 },
  J: { quantity: 'energy', factor: 1 },
  Wh: { quantity: 'energy', factor: 3600 },
  Ah: { quantity: 'charge', factor: 3600 },
  mAh: { quantity: 'charge', factor: 3.6 },
  coulomb: { quantity: 'charge', factor: 1 },
  cSt: { quantity: 'kinematic viscosity', factor: 1e-6 },
  'm²/s': { quantity: 'kinematic viscosity', factor: 1 },
} as const satisfies Record<string, Unit>

export type UnitName = keyof typeof units

/** Units that a quantity can be turned into. */
export const unitsLike = (unit: UnitName): UnitName[] =>
  (Object.keys(units) as UnitName[]).filter((u) => units[u].quantity === units[unit].quantity)

/**
 * A value in another unit of the same quantity.
 * @throws RangeProblem on an unknown unit, or on units of different quantities
 * @example convert(165, 'oz-in', 'Nm') // 1.165
 */
export function convert(value: number, from: UnitName, to: UnitName): number {
  const [a, b]: [Unit, Unit] = [known('from', from), known('to', to)]
  if (a.quantity !== b.quantity) throw new RangeProblem('to', to, `a unit of ${a.quantity}, as ${from} is`)
  checkNumber('value', value, { min: -1e15, max: 1e15 })
  if (from === to) return value
  const si = value * a.factor + (a.offset ?? 0)
  if (a.quantity === 'temperature' && si < -1e-9)
    throw new RangeProblem('value', value, 'at or above absolute zero')
  return (si - (b.offset ?? 0)) / b.factor
}

function known(field: string, unit: UnitName): Unit {
  if (!Object.hasOwn(units, unit))
    throw new RangeProblem(field, unit, `one of ${Object.keys(units).join(', ')}`)
  return units[unit]
}
