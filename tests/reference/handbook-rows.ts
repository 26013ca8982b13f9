import { motorCurve, nusseltCylinder, simulateStraight, torqueConstant, type Car } from '@/lib/setup-math'
import { inducedDragCoefficient } from '@/lib/setup-math/losses/downforce'
import { bumpForceN } from '@/lib/setup-math/losses/bumps'
import { magnetFactor, magnetPrior } from '@/lib/setup-math/losses/magnets'
import { chopRippleA2 } from '@/lib/setup-math/losses/ripple'
import { burckhardtPeak, type Burckhardt } from '@/lib/setup-math/losses/slip'
import { chenRinconMora, slowSagAfter } from '@/lib/setup-math/pack/slow-sag'
import { there } from '../support/there'
import { sources as s, type ReferenceRow } from './reference-row'

/** Curve parameters, and the friction and slip of the peak as the books tell them. */
const roads: readonly (readonly [string, Burckhardt, number, number])[] = [
  ['dry asphalt', { c1: 1.2801, c2: 23.99, c3: 0.52 }, 1.17, 0.17],
  ['wet asphalt', { c1: 0.857, c2: 33.822, c3: 0.347 }, 0.8, 0.13],
  ['dry cobblestones', { c1: 1.3713, c2: 6.4565, c3: 0.6691 }, 1, 0.4],
  ['snow', { c1: 0.1946, c2: 94.129, c3: 0.0646 }, 0.19, 0.06],
]

export const slipRows: ReferenceRow[] = roads.flatMap(([name, curve, mu, slip]): ReferenceRow[] => [
  {
    what: `slip curve, ${name}: highest friction`,
    unit: '',
    outside: mu,
    source: s.burckhardt,
    tolerance: 'curvePeak',
    model: () => burckhardtPeak(curve).mu,
  },
  {
    what: `slip curve, ${name}: slip at the peak`,
    unit: '',
    outside: slip,
    source: s.burckhardt,
    tolerance: 'curvePeak',
    model: () => burckhardtPeak(curve).slip,
  },
])

const pound = 0.45359237
/** A rear-driven passenger car: 2100 and 1850 lb on its axles, wheelbase 108 in, center of gravity 21 in high, friction 0.62. */
const passengerCar: Car = {
  massKg: 3950 * pound,
  driven: '2wd',
  frontStaticShare: 2100 / 3950,
  wheelbaseM: 108 * 0.0254,
  cgHeightM: 21 * 0.0254,
  tireDiameterMm: 660,
  grip: 0.62,
  rollingCoefficient: 0,
  pinion: 1,
  spur: 1,
  internalRatio: 1,
  driveEfficiency: 1,
  motor: { kvRpmPerVolt: 10, resistanceOhm: 1e-5, noLoadCurrentA: 0 },
  pack: {
    cells: 1,
    capacityAh: 1e9,
    resistanceOhm: 0,
    stateOfCharge: 1,
    restVoltageTable: [
      [0, 9],
      [1, 9.5],
    ],
  },
}
const tractionPounds = () => {
  const { timeS } = there(
    simulateStraight(
      { ...passengerCar, pack: { ...passengerCar.pack, cells: 60 } },
      { lengthM: 5, entrySpeedMps: 0 },
    ),
  )
  return (passengerCar.massKg * 2 * 5) / timeS ** 2 / 9.80665 / pound
}

export const tractionRows: ReferenceRow[] = [
  {
    what: 'rear drive, locked differential: most traction',
    unit: 'lb',
    outside: 1305,
    source: s.gillespie,
    tolerance: 'threeDigits',
    model: tractionPounds,
  },
]

export const airRows: ReferenceRow[] = [
  {
    what: 'wing of aspect ratio 8 at lift 0.4335: induced drag',
    unit: '',
    outside: 0.00789,
    source: s.anderson,
    tolerance: 'threeDigits',
    model: () => inducedDragCoefficient(0.4335, 8, 1 / 1.055),
  },
]

/** 12.7 mm in air at 10 m/s, film at 350 K: 20.92e-6 m²/s, 0.030 W/(m K), Prandtl 0.700. */
const tunnel = () => nusseltCylinder({ reynolds: (10 * 0.0127) / 20.92e-6, prandtl: 0.7 })
export const tunnelRows: ReferenceRow[] = [
  {
    what: 'heated cylinder in a wind tunnel: Nusselt number told',
    unit: '',
    outside: 40.6,
    source: s.incropera,
    tolerance: 'threeDigits',
    model: tunnel,
  },
  {
    what: 'heated cylinder in a wind tunnel: film coefficient measured',
    unit: 'W/m²K',
    outside: 102,
    source: s.incropera,
    tolerance: 'windTunnel',
    model: () => (tunnel() * 0.03) / 0.0127,
  },
]

/** Of ISO 8608, from memory: geometric means of the displacement spectrum at 0.1 cycles per meter, m³. */
const roadClasses = { 'B, good': [64e-6, 100], 'C, average': [256e-6, 400] } as const
const [milesPerHour60, carTireRate] = [26.8224, 182_000]
export const bumpRows: ReferenceRow[] = Object.entries(roadClasses).map(([name, [at01, watts]]) => ({
  what: `middle-size car at 60 mph on a road of class ${name}: what bumps take`,
  unit: 'W',
  outside: watts,
  source: s.zuo,
  tolerance: 'oneDigit',
  // A spectrum of G n^-2: the class's figure times 0.1².
  model: () => bumpForceN(at01 * 0.01, carTireRate) * milesPerHour60,
}))

const magnetAt = (celsius: number) => magnetFactor(magnetPrior.perKelvin[0], celsius)
export const magnetRows: ReferenceRow[] = [
  {
    what: 'sintered NdFeB, N48SH: remanence at 150 °C over that at 20 °C',
    unit: '',
    outside: 11.69 / 13.82,
    source: s.magnetCurves,
    tolerance: 'magnetCurve',
    model: () => magnetAt(150) / magnetAt(20),
  },
  {
    what: 'sintered NdFeB, grades N and M: coefficient of remanence',
    unit: '%/K',
    outside: -0.12,
    source: s.magnetGrades,
    tolerance: 'magnetCoefficient',
    model: () => 100 * magnetPrior.perKelvin[0],
  },
]

const half = () => chenRinconMora(0.5)
/** Volts of an 850 mAh cell at half charge after so long at 0.85 A, and a minute after it stops. */
const underLoad = (seconds: number, rest = 0) => {
  const { openV, seriesOhm, short, long } = half()
  const pairs = [short, long].map((p) => {
    const pair = { ohm: p.ohm, seconds: p.ohm * p.farad }
    return slowSagAfter(pair, slowSagAfter(pair, 0, 0.85, seconds), 0, rest)
  })
  return openV - (rest > 0 ? 0 : 0.85 * seriesOhm) - pairs.reduce((a, b) => a + b, 0)
}
export const cellPairRows: ReferenceRow[] = [
  {
    what: 'cell at 50%, 1C for 60 s: volts under load',
    unit: 'V',
    outside: 3.6967663284256624,
    source: s.chen,
    tolerance: 'closedForm',
    model: () => underLoad(60),
  },
  {
    what: 'cell at 50%, 1C for 300 s: volts a minute after',
    unit: 'V',
    outside: 3.7730503312982533,
    source: s.chen,
    tolerance: 'closedForm',
    model: () => underLoad(300, 60),
  },
]

const flat = { kvRpmPerVolt: 259, resistanceOhm: 0.608, noLoadCurrentA: 0.234 }
export const flatMotorRows: ReferenceRow[] = [
  {
    what: '24 V flat motor: torque constant',
    unit: 'mNm/A',
    outside: 36.9,
    source: s.maxonFlat,
    tolerance: 'catalogue',
    model: () => 1000 * torqueConstant(259),
  },
  {
    what: '24 V flat motor: stall current',
    unit: 'A',
    outside: 39.5,
    source: s.maxonFlat,
    tolerance: 'catalogue',
    model: () => motorCurve(flat, 24).stallCurrentA,
  },
  {
    what: '24 V flat motor: highest efficiency',
    unit: '',
    outside: 0.85,
    source: s.maxonFlat,
    tolerance: 'catalogueEfficiency',
    model: () => motorCurve(flat, 24).maxEfficiency,
  },
  {
    what: 'chopper at half duty, 24 V, 100 µH, 20 kHz: mean square of the ripple',
    unit: 'A²',
    // A triangle of V / (4 L f) from peak to peak, over the square root of twelve.
    outside: 0.75,
    source: s.mohan,
    tolerance: 'exact',
    model: () => chopRippleA2(24, 0.5, 1e-4, 20_000),
  },
]
