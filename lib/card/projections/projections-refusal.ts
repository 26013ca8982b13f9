import { refuse, type Refusal } from '../../core/result'
import { RangeProblem } from '../../setup-math'
import type { ProjectionBasis } from './projections-basis'
import { inputLabel, type InputId } from './projections-inputs'

/** Paths in setup-math's car, as the card calls them. */
const FIELD_INPUTS: Record<string, InputId> = {
  pinion: 'pinion',
  spur: 'spur',
  internalRatio: 'internalRatio',
  tireDiameterMm: 'tireDiameterMm',
  massKg: 'massG',
  frontStaticShare: 'frontSharePercent',
  grip: 'grip',
  driveEfficiency: 'efficiency',
  'motor.kvRpmPerVolt': 'kv',
  'motor.resistanceOhm': 'motorMilliohm',
  'motor.noLoadCurrentA': 'noLoadA',
  'motor.extraTimingDeg': 'motorTimingDeg',
  'controller.boost.degrees': 'boostDeg',
  'controller.boost.startRpm': 'boostStartRpm',
  'controller.boost.endRpm': 'boostEndRpm',
  'controller.turbo.degrees': 'turboDeg',
  'controller.turbo.delayS': 'turboDelayS',
  'controller.turbo.rampDegPerS': 'turboRampDegPerS',
  'controller.cutoffVoltsPerCell': 'cutoffV',
  'controller.currentLimitA': 'currentLimitA',
  'pack.cells': 'cells',
  'pack.capacityAh': 'capacityMah',
  'pack.resistanceOhm': 'packMilliohm',
  'pack.stateOfCharge': 'stateOfChargePercent',
}

/** What setup-math refused, in the card's words; anything else is a defect and is thrown on. */
export function refusalOf(error: unknown, basis: ProjectionBasis): Refusal {
  if (!(error instanceof RangeProblem)) throw error
  const at = /^track\.segments\[(\d+)\]\.?(.*)$/.exec(error.field)
  if (at) {
    const segment = basis.segments?.[Number(at[1])]
    const what = {
      lengthM: 'length',
      radiusM: 'radius',
      arcDeg: 'arc',
      grip: 'grip',
      measuredSpeedMps: 'speed',
    }[at[2] ?? '']
    const name =
      segment?.name ?? `${segment?.kind === 'corner' ? 'Corner' : 'Straight'}, place ${Number(at[1]) + 1}`
    return refuse(
      `${name}, ${what ?? at[2]}`,
      shown(error.value),
      'is not possible',
      `Must be ${error.range}.`,
    ).error
  }
  if (error.field === 'track.segments')
    return refuse('Track', '', 'has no pieces yet', 'Draw it piece by piece first.').error
  const id = FIELD_INPUTS[error.field]
  return refuse(
    id ? inputLabel(id, basis.inputs) : inWords(error.field),
    shown(error.value),
    'is not possible',
    `Must be ${error.range}.`,
  ).error
}
const shown = (value: unknown) => (typeof value === 'number' && Number.isFinite(value) ? value : '')

/** A path in setup-math that the card has no name for, as words: `controller.boost.holdS` is “Hold s”. */
function inWords(path: string): string {
  const words = (path.split('.').at(-1) ?? path).replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase()
  return words.charAt(0).toUpperCase() + words.slice(1)
}
