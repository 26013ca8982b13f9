import { resistanceAtTemperature, simulateStraight, type Car } from '@/lib/setup-math'
import { corneringDragN, peakAnglePrior } from '@/lib/setup-math/losses/cornering-drag'
import { there } from '../support/there'
import { sources as s, type ReferenceRow } from './reference-row'

/** Steady speeds on a floor: m/s, duty, pack volts, battery amperes. */
const steady = [
  [1.24, 0.099, 16.0, 0.27],
  [2.04, 0.149, 16.0, 0.44],
  [2.8, 0.199, 15.9, 0.61],
  [3.53, 0.249, 15.7, 0.81],
  [4.27, 0.299, 15.65, 0.99],
  [5.11, 0.399, 14.1, 1.44],
] as const
const gear = 12
const wheelM = 0.05
const partThrottleV = 0.15
/** Motor and controller: taken, no source; it takes a twentieth of the voltage. */
const seriesOhm = 0.05
/** Resistance from the same car's duty ramps, N and N s/m. */
const [held, rising] = [1.52, 0.22]
const massKg = 4.55
/** EMF and no-load current from the two slowest speeds alone. */
function calibrated() {
  const slow = steady.slice(0, 2)
  const mean = (f: (x: (typeof steady)[number]) => number) =>
    slow.reduce((sum, x) => sum + f(x), 0) / slow.length
  const kt = mean(
    ([v, duty, volts, amps]) =>
      (duty * volts - partThrottleV - (amps / duty) * seriesOhm) / ((v * gear) / wheelM),
  )
  const idleA = mean(([v, duty, , amps]) => amps / duty - ((held + rising * v) * wheelM) / gear / kt)
  return { kt, idleA }
}
/** A chopper at a duty drives like a pack of that share of its volts; the battery gives that share of the motor's current. */
function steadyAt(duty: number, volts: number) {
  const { kt, idleA } = calibrated()
  const weight = massKg * 9.80665
  const v = duty * volts - partThrottleV
  const car: Car = {
    massKg,
    driven: '4wd',
    frontStaticShare: 0.5,
    wheelbaseM: 0.32,
    cgHeightM: 0.05,
    tireDiameterMm: 2000 * wheelM,
    grip: 0.8,
    rollingCoefficient: held / weight,
    rollingPerSpeed: rising / weight,
    pinion: 1,
    spur: gear,
    internalRatio: 1,
    driveEfficiency: 1,
    motor: {
      kvRpmPerVolt: 60 / (2 * Math.PI * kt),
      resistanceOhm: seriesOhm,
      noLoadCurrentA: idleA,
    },
    pack: {
      cells: 1,
      capacityAh: 1e6,
      resistanceOhm: 0,
      stateOfCharge: 1,
      restVoltageTable: [
        [0, v],
        [1, v],
      ],
    },
  }
  const run = there(simulateStraight(car, { lengthM: 150, entrySpeedMps: 1 }))
  const last = run.trace.at(-1)
  return { speed: run.exitSpeedMps, batteryA: duty * (last?.motorCurrentA ?? Number.NaN) }
}

export const steadyRows: ReferenceRow[] = steady
  .slice(2)
  .flatMap(([v, duty, volts, amps]): ReferenceRow[] => [
    {
      what: `research car at duty ${duty}: steady speed`,
      unit: 'm/s',
      outside: v,
      source: s.steadyCar,
      tolerance: 'steadySpeed',
      model: () => steadyAt(duty, volts).speed,
    },
    {
      what: `research car at duty ${duty}: battery current`,
      unit: 'A',
      outside: amps,
      source: s.steadyCar,
      tolerance: 'steadyCurrent',
      model: () => steadyAt(duty, volts).batteryA,
    },
  ])

/** Drag while steering at 2 m/s over the weight; wheelbase 0.175 m from memory, grip 0.70 the middle of what was held for a second. */
const steering = (angleRad: number) => {
  const lateral = (2 * 2 * Math.tan(angleRad)) / 0.175 / 9.80665
  const limit = (peakAnglePrior.degrees[0] * Math.PI) / 180
  return corneringDragN(lateral, Math.min(1, lateral / 0.7), limit)
}
export const steeringRows: ReferenceRow[] = (
  [
    [0.15, 0.056],
    [0.3, 0.12],
  ] as const
).map(([angle, drag]) => ({
  what: `drag while steering by ${angle} rad at 2 m/s`,
  unit: 'g',
  outside: drag,
  source: s.dart,
  tolerance: 'steeringDrag',
  model: () => steering(angle),
}))

export const cellRows: ReferenceRow[] = (
  [
    ['27 Ah pouch', 9.8, 20, 14.1, 5],
    ['27 Ah pouch', 9.8, 20, 9.8, 40],
    ['high-power cell', 5.05, 25, 14.5, 0],
    ['high-power cell', 5.05, 25, 5.9, 41],
  ] as const
).map(([name, read, atC, outside, toC]) => ({
  what: `${name}: resistance at ${toC} °C from ${atC} °C`,
  unit: 'mΩ',
  outside,
  source: s.cellTables,
  tolerance: 'cellTemperature',
  model: () =>
    1000 * resistanceAtTemperature({ resistanceOhm: read / 1000, measuredAtC: atC, temperatureC: toC }),
}))
