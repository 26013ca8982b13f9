import type { Refusal } from '../../core/result'
import { finalDrive, motorCurve, RangeProblem, restVoltage, rollout, speedAtRpm } from '../../setup-math'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'
import { figure, fixed, type Projection } from './projection-figure'
import type { ProjectionBasis } from './projections-basis'
import { carOf, valuesOf } from './projections-car'
import type { InputId, InputValues } from './projections-inputs'
import { refusalOf } from './projections-refusal'
import { ruleProjections } from './projections-rules'
import { spreadOf, type Figures } from './projections-spread'

export interface CardProjections {
  figures: Projection[]
  /** A value that can't be, as setup-math refused it: then `figures` is empty. */
  problem: Refusal | null
}

/** Uncertain inputs of the arithmetic figures. */
const QUICK_INPUTS: ReadonlySet<InputId> = new Set([
  'internalRatio',
  'tireDiameterMm',
  'kv',
  'motorMilliohm',
  'noLoadA',
  'stateOfChargePercent',
  'motorTimingDeg',
  'kvTimingDeg',
  'advanceGain',
])

function quickFigures(basis: ProjectionBasis, values: InputValues): Figures {
  const car = carOf(basis, values)
  const ratio = finalDrive(car)
  const rolloutMm = rollout({ tireDiameterMm: car.tireDiameterMm, finalDrive: ratio })
  const out: Record<string, number> = { finalDrive: ratio, rolloutMm }
  if (values.kv !== undefined && values.motorMilliohm !== undefined) {
    const gain = 1 + (car.advanceGainPerDegree ?? 0) * (car.motor.extraTimingDeg ?? 0)
    const turning = (gained: number) => ({
      ...car.motor,
      kvRpmPerVolt: car.motor.kvRpmPerVolt * gained,
      // As in a lap: timing raises the loss torque by the factor by which Kt falls.
      noLoadCurrentA: car.motor.noLoadCurrentA * gained ** 2,
    })
    const volts = car.pack.cells * restVoltage(POUCH_REST_VOLTAGE, car.pack.stateOfCharge ?? 1)
    out['volts'] = volts
    out['noLoadMps'] = speedAtRpm({ rpm: motorCurve(turning(gain), volts).noLoadRpm, rolloutMm })
    const dynamic = (values.boostDeg ?? 0) + (values.turboDeg ?? 0)
    if (dynamic > 0) {
      const most = turning(gain + (car.advanceGainPerDegree ?? 0) * dynamic)
      out['dynamicMps'] = speedAtRpm({ rpm: motorCurve(most, volts).noLoadRpm, rolloutMm })
    }
  }
  return out
}

const lackText = (basis: ProjectionBasis): string => `Needs ${basis.lacks.map((l) => l.what).join(', ')}.`

/** What follows from the card by arithmetic alone: at once, on the screen's own thread. */
export function quickProjections(basis: ProjectionBasis): CardProjections {
  const values = valuesOf(basis)
  const rules = ruleProjections(basis, values)
  if (values.pinion === undefined || values.spur === undefined)
    return {
      problem: null,
      figures: [
        figure({
          id: 'finalDrive',
          group: 'drive',
          label: 'Final drive ratio',
          value: null,
          digits: 3,
          unit: '',
          detail: lackText(basis),
        }),
        ...rules,
      ],
    }
  try {
    const base = quickFigures(basis, values)
    const spread = spreadOf(
      basis,
      (v) => {
        try {
          return quickFigures(basis, v)
        } catch (e) {
          // A value moved past its range on one side only: the other side counts.
          if (e instanceof RangeProblem) return null
          throw e
        }
      },
      base,
      QUICK_INPUTS,
    )
    const { noLoadMps, dynamicMps, volts } = base
    return {
      problem: null,
      figures: [
        figure({
          id: 'rollout',
          group: 'drive',
          label: 'Rollout',
          value: base['rolloutMm'] ?? null,
          digits: 2,
          unit: 'mm/turn',
          spread: spread['rolloutMm'],
          detail: 'Travel per motor turn: π times the tire diameter over the final drive ratio.',
        }),
        figure({
          id: 'finalDrive',
          group: 'drive',
          label: 'Final drive ratio',
          value: base['finalDrive'] ?? null,
          digits: 3,
          unit: '',
          spread: spread['finalDrive'],
          detail: 'Motor turns per wheel turn: spur over pinion times the internal ratio.',
        }),
        figure({
          id: 'noLoadSpeed',
          group: 'drive',
          label: 'Top speed, no load',
          value: noLoadMps ?? null,
          digits: 2,
          unit: 'm/s',
          spread: spread['noLoadMps'],
          detail:
            noLoadMps === undefined
              ? lackText(basis)
              : `What the gearing allows: the motor’s no-load speed at ${fixed(volts ?? 0, 2)} V times the rollout, without boost and turbo${dynamicMps === undefined ? '' : `; with all of them ${fixed(dynamicMps, 2)} m/s`}. Use it to compare gearings.`,
        }),
        ...rules,
      ],
    }
  } catch (error) {
    return { problem: refusalOf(error, basis), figures: [] }
  }
}
