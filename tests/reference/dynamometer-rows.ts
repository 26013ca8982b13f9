import {
  kvFromNoLoad,
  motorCurve,
  simulateStraight,
  torqueConstant,
  type Car,
  type MotorConstants,
} from '@/lib/setup-math'
import { ironPrior } from '@/lib/setup-math/losses/iron'
import { ripplePrior } from '@/lib/setup-math/losses/ripple'
import { there } from '../support/there'
import { sources as s, type ReferenceRow } from './reference-row'

/** Of each machine at 12 V times the duty: stall torque, Nm, stall current, no-load speed, rpm, and no-load current; currents at the supply, A. */
const dynamometer = {
  'machine A': [
    [0.5, 2.294, 53.626, 2669.582, 0.82],
    [8 / 12, 2.701, 91.725, 3739.283, 1.12],
    [10 / 12, 3.018, 139.456, 4938.751, 1.44],
    [1, 3.281, 180.96, 5820.933, 1.7],
  ],
  'machine B': [
    [0.5, 0.646, 30.722, 5619.331, 0.4],
    [8 / 12, 0.809, 52.778, 7529.894, 0.35],
    [10 / 12, 0.961, 82.751, 9969.84, 1],
    [1, 1.082, 111.278, 11708.256, 1.1],
  ],
  'machine C': [
    [0.5, 2.841, 79.828, 3160, 0.49],
    [8 / 12, 3.408, 126.306, 4168, 0.727],
    [10 / 12, 3.873, 184.614, 5181.71, 1.2],
    [1, 4.688, 257.154, 6379.663, 1.5],
  ],
} as const
/** Highest power, W, and efficiency at 12 V. */
const best = {
  'machine A': [499.997, 0.76543],
  'machine B': [331.656, 0.82192],
  'machine C': [782.986, 0.876],
} as const

type Setting = readonly [duty: number, stallNm: number, stallA: number, rpm: number, idleA: number]
/** The supply gives duty times the motor's current. */
const motorOf = ([duty, , stallA, rpm, idleA]: Setting) => {
  const resistanceOhm = (12 * duty) / (stallA / duty)
  const reading = { timingDeg: 0, rpm, voltageV: 12 * duty, currentA: idleA / duty }
  return {
    resistanceOhm,
    noLoadCurrentA: idleA / duty,
    kvRpmPerVolt: kvFromNoLoad(reading, resistanceOhm),
  }
}

/**
 * Highest efficiency of the motor as a lap drives it: with what commutation's ripple adds to the copper's loss and the part of the no-load loss that goes with
 * speed, both at their priors. The bare line through the same readings holds no loss under load. Short pieces at full throttle of a car that nothing resists:
 * what it gains in motion over what the pack gives.
 */
function bestAsDriven(motor: MotorConstants, noLoadRpm: number): number {
  const [wheelMm, spur] = [80, 8]
  const car: Car = {
    massKg: 3,
    driven: '4wd',
    frontStaticShare: 0.5,
    wheelbaseM: 0.3,
    cgHeightM: 0,
    tireDiameterMm: wheelMm,
    grip: 50,
    rollingCoefficient: 0,
    pinion: 1,
    spur,
    internalRatio: 1,
    driveEfficiency: 1,
    motor: {
      ...motor,
      formFactor2: ripplePrior.formFactor2[0],
      noLoadSpeedShare: ironPrior.speedShare[0],
      noLoadRpm,
    },
    pack: {
      cells: 2,
      capacityAh: 1e6,
      resistanceOhm: 0,
      stateOfCharge: 1,
      restVoltageTable: [
        [0, 6],
        [1, 6],
      ],
    },
  }
  const topMps = (noLoadRpm / 60 / spur) * Math.PI * (wheelMm / 1000)
  const speeds = Array.from({ length: 100 }, (_, i) => (topMps * (i + 0.5)) / 100)
  return Math.max(
    ...speeds.map((entrySpeedMps) => {
      const { energy } = there(simulateStraight(car, { lengthM: 0.01, entrySpeedMps }))
      return energy.kineticJ / energy.packJ
    }),
  )
}

export const dynamometerRows: ReferenceRow[] = Object.entries(dynamometer).flatMap(
  ([name, settings]): ReferenceRow[] => {
    const [powerW, efficiency] = best[name as keyof typeof best]
    const curve = () => motorCurve(motorOf(settings[3]), 12)
    return [
      ...settings.map((x): ReferenceRow => ({
        what: `${name}, duty ${x[0].toFixed(2)}: torque constant from speed`,
        unit: 'Nm/A',
        outside: x[1] / ((x[2] - x[4]) / x[0]),
        source: s.dynamometer,
        tolerance: 'measuredMotor',
        model: () => torqueConstant(motorOf(x).kvRpmPerVolt),
      })),
      {
        what: `${name}: highest power at 12 V`,
        unit: 'W',
        outside: powerW,
        source: s.dynamometer,
        tolerance: 'measuredMotor',
        model: () => curve().at(curve().stallTorqueNm / 2).powerW,
      },
      {
        what: `${name}: highest efficiency at 12 V`,
        unit: '',
        outside: efficiency,
        source: s.dynamometer,
        tolerance: 'measuredEfficiency',
        model: () => bestAsDriven(motorOf(settings[3]), settings[3][3]),
      },
    ]
  },
)
