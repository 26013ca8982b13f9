import { simulateLap, simulateStraight, type Car, type Track } from '@/lib/setup-math'
import { brakingSpeed2 } from '@/lib/setup-math/lap/braking'
import { planLap } from '@/lib/setup-math/lap/lap-plan'
import { prepareCar } from '@/lib/setup-math/lap/prepared-car'
import launches from './fixtures/launches.json'
import { sources as s, type ReferenceRow } from './reference-row'
import { there } from '../support/there'

/** 7.4 V that does not sag, 4WD, no drag, no turning inertia; final drive 7, r 41.5 mm, efficiency 0.9. */
const plain: Car = {
  massKg: 1.6,
  driven: '4wd',
  frontStaticShare: 0.5,
  wheelbaseM: 0.285,
  cgHeightM: 0.055,
  tireDiameterMm: 83,
  grip: 0.8,
  rollingCoefficient: 0.04,
  pinion: 10,
  spur: 70,
  internalRatio: 1,
  driveEfficiency: 0.9,
  motor: { kvRpmPerVolt: 2200, resistanceOhm: 0.045, noLoadCurrentA: 0 },
  pack: {
    cells: 2,
    capacityAh: 1e6,
    resistanceOhm: 0,
    stateOfCharge: 1,
    restVoltageTable: [
      [0, 3.7],
      [1, 3.7],
    ],
  },
}
const motorPerSpeed = 7 / 0.0415

/** A force line F0 (1 - v/v0): Kt from the speed at which the motor's EMF meets 7.4 V, R from the force at standstill. */
function lineCar(f0: number, v0: number): Car {
  const kt = 7.4 / (v0 * motorPerSpeed)
  const resistanceOhm = (kt * 7.4 * motorPerSpeed * 0.9) / f0
  return {
    ...plain,
    grip: 1000,
    motor: { kvRpmPerVolt: 60 / (2 * Math.PI * kt), resistanceOhm, noLoadCurrentA: 0 },
  }
}
/** A constant force, held by the grip or by the current limit; the motor behind it is far stronger. */
const strong = { kvRpmPerVolt: 3000, resistanceOhm: 0.001, noLoadCurrentA: 0 }
const withDrag: Car = { ...plain, dragAreaM2: 0.02, airDensityKgM3: 1.2, pinion: 20, motor: strong }
const byGrip: Car = { ...withDrag, grip: 8 / (1.6 * 9.80665) }
const byCurrent: Car = {
  ...withDrag,
  grip: 100,
  controller: { currentLimitA: 8 / ((60 / (2 * Math.PI * 3000)) * (3.5 / 0.0415) * 0.9) },
}

const drive = (car: Car, lengthM: number, entrySpeedMps = 0) =>
  there(simulateStraight(car, { lengthM, entrySpeedMps }))
/** Mean acceleration over the first half meter, all of it at the grip, of a car whose motor has this rotor; nothing resists. */
const launchOf = (rotorInertiaKgM2: number) => {
  const car: Car = { ...plain, rollingCoefficient: 0, motor: { ...strong, rotorInertiaKgM2 } }
  return 1 / drive(car, 0.5).timeS ** 2
}
const handOver = () => {
  const e = drive(plain, 10).events.find((x) => x.kind === 'grip lets go to motor')
  if (!e) throw new Error('the car never left the grip limit')
  return e
}
const rear: Car = { ...plain, driven: '2wd', frontStaticShare: 0.38, rollingCoefficient: 0, motor: strong }

const fromScipy: ReferenceRow[] = Object.entries(launches.launches).flatMap(([name, c]): ReferenceRow[] => {
  const run = () => drive(c.car as unknown as Car, c.lengthM, c.entrySpeedMps)
  const row = (what: string, unit: string, outside: number, model: () => number): ReferenceRow => ({
    what: `${name}: ${what}`,
    unit,
    outside,
    source: s.scipy,
    tolerance: 'referee',
    model,
  })
  return [
    row('time', 's', c.timeS, () => run().timeS),
    row('speed', 'm/s', c.exitSpeedMps, () => run().exitSpeedMps),
    row('charge', 'C', c.chargeC, () => run().chargeC),
  ]
})

const oval = () =>
  there(
    simulateLap(launches.lap.car as unknown as Car, {
      segments: [
        { kind: 'straight', lengthM: 20 },
        { kind: 'corner', radiusM: 3, arcDeg: 180 },
        { kind: 'straight', lengthM: 20 },
        { kind: 'corner', radiusM: 3, arcDeg: 180 },
      ],
    }),
  )
const brakeAt = () => there(oval().segments[0]?.brakeAtM ?? { absent: true, reason: 'no segment' })

/** Speed round a curve that the friction coefficient just holds, from the plan of a lap. */
const curveSpeed = () => {
  const track: Track = { segments: [{ kind: 'corner', radiusM: 500, arcDeg: 90 }] }
  return planLap(prepareCar({ ...plain, grip: 0.13 }), track).tasks[0]?.cornerSpeedMps ?? 0
}

export const launchRows: ReferenceRow[] = [
  {
    what: 'linear force + rolling: speed at 3 s',
    unit: 'm/s',
    outside: 11.4472723,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => drive(lineCar(12, 16), 21.0686501).exitSpeedMps,
  },
  {
    what: 'linear force + rolling: time to 21.0686501 m',
    unit: 's',
    outside: 3,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => drive(lineCar(12, 16), 21.0686501).timeS,
  },
  {
    what: 'linear force + rolling: time to 10 m',
    unit: 's',
    outside: 1.9292168,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => drive(lineCar(12, 16), 10).timeS,
  },
  {
    what: 'constant force at the grip + drag: speed at 3 s',
    unit: 'm/s',
    outside: 12.5484534,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => drive(byGrip, 19.7414697).exitSpeedMps,
  },
  {
    what: 'constant force at the grip + drag: time to 19.7414697 m',
    unit: 's',
    outside: 3,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => drive(byGrip, 19.7414697).timeS,
  },
  {
    what: 'constant force at the current limit + drag: speed at 3 s',
    unit: 'm/s',
    outside: 12.5484534,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => drive(byCurrent, 19.7414697).exitSpeedMps,
  },
  {
    what: '4WD: hand-over from grip to motor, time',
    unit: 's',
    outside: 1.19902471,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => handOver().timeS,
  },
  {
    what: '4WD: hand-over from grip to motor, speed',
    unit: 'm/s',
    outside: 8.9363959,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => handOver().speedMps,
  },
  {
    what: '4WD: time to 10 m',
    unit: 's',
    outside: 1.6768742,
    source: s.closedForm,
    tolerance: 'closedForm',
    model: () => drive(plain, 10).timeS,
  },
  {
    what: 'rear drive: grip with load transfer',
    unit: 'N',
    outside: 9.2034393,
    source: s.loadTransfer,
    tolerance: 'closedForm',
    model: () => {
      const t = drive(rear, 0.5).timeS
      return (1.6 * 2 * 0.5) / t ** 2
    },
  },
  ...fromScipy,
  {
    what: 'oval: lap time',
    unit: 's',
    outside: launches.lap.lapSeconds,
    source: s.scipy,
    tolerance: 'referee',
    model: () => oval().timeS,
  },
  {
    what: 'oval: braking point',
    unit: 'm',
    outside: launches.lap.brakeAtM,
    source: s.scipy,
    tolerance: 'referee',
    model: brakeAt,
  },
  ...[0, 4e-6, 4e-5].map((rotor): ReferenceRow => ({
    what: `4WD at grip 0.8, nothing resists, rotor of ${rotor} kg m²`,
    unit: 'm/s²',
    outside: 7.84532,
    source: s.gripTimesG,
    tolerance: 'sixDigits',
    model: () => launchOf(rotor),
  })),
  {
    what: 'oval: arrival speed',
    unit: 'm/s',
    outside: launches.lap.arrivalSpeedMps,
    source: s.scipy,
    tolerance: 'referee',
    model: () => oval().segments[0]?.peakSpeedMps ?? 0,
  },
  {
    what: 'stopping from 30 m/s at 7.00 m/s²',
    unit: 'm',
    outside: 64.3,
    source: s.openstaxBrakes,
    tolerance: 'threeDigits',
    model: () => stopping(7),
  },
  {
    what: 'stopping from 30 m/s at 5.00 m/s²',
    unit: 'm',
    outside: 90,
    source: s.openstaxBrakes,
    tolerance: 'threeDigits',
    model: () => stopping(5),
  },
  {
    what: '500 m curve at friction 0.13',
    unit: 'm/s',
    outside: 25,
    source: s.openstaxCurve,
    tolerance: 'twoDigits',
    model: curveSpeed,
  },
]

/** Distance from which the braking curve ends at a standstill, by bisection on the library's own curve. */
function stopping(deceleration: number): number {
  let [lo, hi] = [0, 1000]
  for (let i = 0; i < 100; i++) {
    const mid = (lo + hi) / 2
    if (brakingSpeed2({ a: deceleration, b: 0 }, 0, mid) < 900) lo = mid
    else hi = mid
  }
  return hi
}
