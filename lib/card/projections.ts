import { refuse, type Refusal } from '../core/result'
import { finalDrive, RangeProblem, rollout, speedAtRpm, motorCurve, weightMargin } from '../setup-math'
import { carOf, valuesOf } from './projections-car'
import type { ProjectionBasis } from './projections-basis'
import { INPUTS, type InputId, type InputValues } from './projections-inputs'
import { spreadOf, type Figures, type Spread } from './projections-spread'
import { restVoltage } from '../setup-math'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'

export const PROJECTION_GROUPS = [
  { id: 'drive', name: 'Gearing and speed' },
  { id: 'turbo', name: 'Turbo and grip' },
  { id: 'lap', name: 'Lap and result' },
  { id: 'pack', name: 'Pack' },
  { id: 'heat', name: 'Motor' },
  { id: 'rules', name: 'Class rules' },
] as const
export type ProjectionGroup = (typeof PROJECTION_GROUPS)[number]['id']

/** One projected figure, with its 90 % interval and what it rests on. */
export interface Projection {
  id: string
  group: ProjectionGroup
  label: string
  /** Null when it can't be said; `detail` then says why. */
  value: number | null
  /** As shown, without the unit. */
  text: string
  unit: string
  /** Half width of the 90 % interval, in `unit`; 0 when everything it rests on is exact. */
  plusMinus: number
  plusMinusText: string
  /** A sentence or two in the driver's words. */
  detail: string
  /** It breaks a rule or a limit. */
  alarm: boolean
  caution: 'pack' | 'can' | null
  rests: Spread['rests']
}

export interface CardProjections {
  figures: Projection[]
  /** A value that can't be, as setup-math refused it: then `figures` is empty. */
  problem: Refusal | null
}

export const fixed = (value: number, digits: number): string => {
  const text = value.toFixed(digits)
  return /^-0\.?0*$/.test(text) ? text.slice(1) : text
}

/** A projection from a computed figure. */
export function figure(
  p: Pick<Projection, 'id' | 'group' | 'label' | 'unit'> &
    Partial<Pick<Projection, 'detail' | 'alarm' | 'caution' | 'text'>> & {
      value: number | null
      digits: number
      spread?: Spread | undefined
    },
): Projection {
  const { digits, spread, value } = p
  const plusMinus = spread?.plusMinus ?? 0
  return {
    id: p.id,
    group: p.group,
    label: p.label,
    value,
    unit: p.unit,
    text: p.text ?? (value === null ? '–' : fixed(value, digits)),
    plusMinus,
    // Half of the last digit shown is the least that a ± may claim.
    plusMinusText: plusMinus > 0 ? fixed(Math.max(plusMinus, 0.5 * 10 ** -digits), digits) : '',
    detail: p.detail ?? '',
    alarm: p.alarm ?? false,
    caution: p.caution ?? null,
    rests: spread?.rests ?? [],
  }
}

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
    return refuse(`${name}, ${what ?? at[2]}`, shown(error.value), 'can’t be', `Allowed is ${error.range}.`)
      .error
  }
  const id = FIELD_INPUTS[error.field]
  return refuse(
    id ? INPUTS[id].label : error.field,
    shown(error.value),
    'can’t be',
    `Allowed is ${error.range}.`,
  ).error
}
const shown = (value: unknown) => (typeof value === 'number' && Number.isFinite(value) ? value : '')

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

/** Everything that `quickProjections` looks at among the inputs. */
export const QUICK_RESTS_ON: ReadonlySet<InputId> = new Set([
  ...QUICK_INPUTS,
  'pinion',
  'spur',
  'cells',
  'massG',
  'boostDeg',
  'turboDeg',
])

function quickFigures(basis: ProjectionBasis, values: InputValues): Figures {
  const car = carOf(basis, values)
  const ratio = finalDrive(car)
  const rolloutMm = rollout({ tireDiameterMm: car.tireDiameterMm, finalDrive: ratio })
  const out: Record<string, number> = { finalDrive: ratio, rolloutMm }
  if (values.kv !== undefined && values.motorMilliohm !== undefined) {
    const gain = 1 + (car.advanceGainPerDegree ?? 0) * (car.motor.extraTimingDeg ?? 0)
    const motor = { ...car.motor, kvRpmPerVolt: car.motor.kvRpmPerVolt * gain }
    const volts = car.pack.cells * restVoltage(POUCH_REST_VOLTAGE, car.pack.stateOfCharge ?? 1)
    out['volts'] = volts
    out['noLoadMps'] = speedAtRpm({ rpm: motorCurve(motor, volts).noLoadRpm, rolloutMm })
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
    const { noLoadMps, volts } = base
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
          detail: 'Travel per turn of the motor: π times the tire diameter over the final drive ratio.',
        }),
        figure({
          id: 'finalDrive',
          group: 'drive',
          label: 'Final drive ratio',
          value: base['finalDrive'] ?? null,
          digits: 3,
          unit: '',
          spread: spread['finalDrive'],
          detail: 'Turns of the motor per turn of the wheels: spur over pinion times the internal ratio.',
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
              : `What the gearing allows: the motor’s no-load speed at ${fixed(volts ?? 0, 2)} V times the rollout. No car reaches it; compare gearings by it.`,
        }),
        ...rules,
      ],
    }
  } catch (error) {
    return { problem: refusalOf(error, basis), figures: [] }
  }
}

/** Margins against the class's rules, as they were entered for this meeting. */
function ruleProjections(basis: ProjectionBasis, v: InputValues): Projection[] {
  const { limits } = basis
  const out: Projection[] = []
  const source = (id: InputId) => basis.inputs.find((i) => i.id === id)
  const mass = source('massG')
  if (limits.minimumWeightG && mass) {
    const margin =
      1000 * weightMargin({ massKg: mass.value / 1000, minimumKg: limits.minimumWeightG / 1000 }).marginKg
    const spread = { plusMinus: 1.645 * mass.sd, rests: [{ id: mass.id, share: 1 }] }
    out.push(
      figure({
        id: 'weight',
        group: 'rules',
        label: 'Weight over the minimum',
        value: margin,
        digits: 0,
        unit: 'g',
        spread,
        alarm: margin - spread.plusMinus < 0,
        detail: `${fixed(mass.value, 0)} g against ${limits.minimumWeightG} g${margin < 0 ? ': too light, add ballast' : margin < spread.plusMinus ? ': within what the scale may be off' : ''}.`,
      }),
    )
  }
  const soc = source('stateOfChargePercent')
  if (limits.voltageLimitV && soc && v.cells) {
    const volts = v.cells * restVoltage(POUCH_REST_VOLTAGE, soc.value / 100)
    const margin = limits.voltageLimitV - volts
    out.push(
      figure({
        id: 'voltage',
        group: 'rules',
        label: 'Voltage under the limit',
        value: margin,
        digits: 2,
        unit: 'V',
        spread: { plusMinus: 0.02, rests: [{ id: 'stateOfChargePercent', share: 1 }] },
        alarm: margin < -0.0005,
        caution: 'pack',
        detail: `${fixed(volts, 2)} V at the start against ${fixed(limits.voltageLimitV, 2)} V, tolerance included; meters differ by about 0.02 V.`,
      }),
    )
  }
  const dynamic = (v.turboDeg ?? 0) > 0 || (v.boostDeg ?? 0) > 0
  if (limits.dynamicTimingAllowed === false)
    out.push(
      figure({
        id: 'timing',
        group: 'rules',
        label: 'Dynamic timing',
        value: dynamic ? 1 : 0,
        text: dynamic ? 'on' : 'off',
        digits: 0,
        unit: '',
        alarm: dynamic,
        detail: dynamic
          ? `The class forbids boost and turbo; the card has ${[v.boostDeg && `boost ${v.boostDeg}°`, v.turboDeg && `turbo ${v.turboDeg}°`].filter(Boolean).join(' and ')}.`
          : 'The class forbids boost and turbo, and the card has neither.',
      }),
    )
  if (limits.cells && v.cells && limits.cells !== v.cells)
    out.push(
      figure({
        id: 'cells',
        group: 'rules',
        label: 'Cells',
        value: v.cells,
        digits: 0,
        unit: '',
        alarm: true,
        detail: `The pack has ${v.cells} cells, the class runs ${limits.cells}.`,
      }),
    )
  return out
}
