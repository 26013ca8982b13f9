import {
  cgHeight,
  convert,
  cornerWeights,
  dampingRatio,
  lapStatistics,
  paceFor,
  rideFrequency,
  rideRate,
  tireWear,
  wheelRate,
} from '@/lib/setup-math'
import { normal } from '@/lib/setup-math/pace/race-projection'
import { norrisReadings } from './fixtures/norris'
import { sources as s, type ReferenceRow } from './reference-row'
import { there } from '../support/there'

const corners = () => cornerWeights({ lf: 300, rf: 308, lr: 490, rr: 502 })
const raised = () =>
  there(
    cgHeight({
      wheelbaseM: 0.285,
      raiseM: 0.12,
      wheelRadiusM: 0.0415,
      massKg: 1.6,
      frontLevelKg: 0.608,
      frontRaisedKg: 0.64318201,
    }),
  )
const forumRate = () => wheelRate({ springNPerM: 140_101, motionRatio: 0.7334 })

/** Damping constant, kg/s, at which the model's damping ratio lets the swing fall to `left` of itself in one cycle. */
function damperFor(left: number, k: number, m: number): number {
  const delta = -Math.log(left)
  const zeta = delta / Math.sqrt(4 * Math.PI ** 2 + delta ** 2)
  let [lo, hi] = [0, 1e5]
  for (let i = 0; i < 100; i++) {
    const mid = (lo + hi) / 2
    if (dampingRatio({ damperNsPerM: mid, wheelRateNPerM: k, massKg: m }) < zeta) lo = mid
    else hi = mid
  }
  return hi
}

export const chassisRows: ReferenceRow[] = [
  {
    what: 'front share',
    unit: '%',
    outside: 38,
    source: s.arithmetic,
    tolerance: 'exact',
    model: () => corners().frontPercent,
  },
  {
    what: 'left share',
    unit: '%',
    outside: 49.375,
    source: s.arithmetic,
    tolerance: 'exact',
    model: () => corners().leftPercent,
  },
  {
    what: 'cross weight',
    unit: '%',
    outside: 49.875,
    source: s.arithmetic,
    tolerance: 'exact',
    model: () => corners().crossPercent,
  },
  {
    what: 'centre of gravity height',
    unit: 'm',
    outside: 0.055,
    source: s.raisedAxle,
    tolerance: 'millimetre',
    model: () => raised().heightM,
  },
  {
    what: 'height per gram',
    unit: 'mm',
    outside: 0.384,
    source: s.raisedAxle,
    tolerance: 'threeDigits',
    model: () => 1000 * raised().perGramM,
  },
  {
    what: 'wheel rate',
    unit: 'N/m',
    outside: 75_357,
    source: s.forum,
    tolerance: 'forumExample',
    model: forumRate,
  },
  {
    what: 'wheel rate with tire',
    unit: 'N/m',
    outside: 60_922,
    source: s.forum,
    tolerance: 'forumExample',
    model: () => rideRate({ wheelRateNPerM: forumRate(), tireRateNPerM: 318_030 }),
  },
  {
    what: 'ride frequency, 312 kg',
    unit: 'Hz',
    outside: 2.22,
    source: s.forum,
    tolerance: 'threeDigits',
    model: () => rideFrequency({ wheelRateNPerM: forumRate(), tireRateNPerM: 318_030, massKg: 312 }),
  },
  {
    what: 'wheel rate, 50 N/mm at 0.75',
    unit: 'N/mm',
    outside: 28.13,
    source: s.machinecalcs,
    tolerance: 'threeDigits',
    model: () => wheelRate({ springNPerM: 50_000, motionRatio: 0.75 }) / 1000,
  },
  {
    what: 'ride frequency, 350 kg on it',
    unit: 'Hz',
    outside: 1.43,
    source: s.machinecalcs,
    tolerance: 'threeDigits',
    model: () =>
      rideFrequency({ wheelRateNPerM: wheelRate({ springNPerM: 50_000, motionRatio: 0.75 }), massKg: 350 }),
  },
  {
    what: 'damper that halves the swing each cycle, 500 kg on 49 kN/m',
    unit: 'kg/s',
    outside: 1100,
    source: s.halliday,
    tolerance: 'twoDigits',
    model: () => damperFor(0.5, 49_000, 500),
  },
]

const numAcc: Record<string, { laps: number[]; mean: number; sd: number }> = {
  NumAcc1: { laps: [10000001, 10000003, 10000002], mean: 10000002, sd: 1 },
  NumAcc2: {
    laps: [1.2, ...Array.from({ length: 1000 }, (_, i) => (i % 2 ? 1.3 : 1.1))],
    mean: 1.2,
    sd: 0.1,
  },
  NumAcc3: {
    laps: [1000000.2, ...Array.from({ length: 1000 }, (_, i) => (i % 2 ? 1000000.3 : 1000000.1))],
    mean: 1000000.2,
    sd: 0.1,
  },
  NumAcc4: {
    laps: [10000000.2, ...Array.from({ length: 1000 }, (_, i) => (i % 2 ? 10000000.3 : 10000000.1))],
    mean: 10000000.2,
    sd: 0.1,
  },
}
const norris = () => tireWear(norrisReadings)

export const paceRows: ReferenceRow[] = [
  {
    what: '22.4 s laps in 5:00: laps',
    unit: '',
    outside: 14,
    source: s.arithmetic,
    tolerance: 'exact',
    model: () => paceFor({ raceSeconds: 300, lapSeconds: 22.4 }).laps,
  },
  {
    what: '22.4 s laps in 5:00: finish',
    unit: 's',
    outside: 313.6,
    source: s.arithmetic,
    tolerance: 'exact',
    model: () => paceFor({ raceSeconds: 300, lapSeconds: 22.4 }).finishSeconds,
  },
  {
    what: 'lap for one more',
    unit: 's',
    outside: 21.4285714,
    source: s.arithmetic,
    tolerance: 'arithmetic',
    model: () => paceFor({ raceSeconds: 300, lapSeconds: 22.4 }).lapForOneMore,
  },
  ...Object.entries(numAcc).flatMap(([name, d]): ReferenceRow[] => [
    {
      what: `${name}: mean`,
      unit: '',
      outside: d.mean,
      source: s.nistStrd,
      tolerance: 'certified',
      model: () => lapStatistics(d.laps).meanS,
    },
    {
      what: `${name}: standard deviation`,
      unit: '',
      outside: d.sd,
      source: s.nistStrd,
      tolerance: name === 'NumAcc1' || name === 'NumAcc2' ? 'certified' : 'storedDigits',
      model: () => there(lapStatistics(d.laps).sdS),
    },
  ]),
  {
    what: 'MAD of 1 2 3 4 5',
    unit: '',
    outside: 1,
    source: s.madExample,
    tolerance: 'exact',
    model: () => lapStatistics([1, 2, 3, 4, 5]).madS,
  },
  {
    what: 'MAD of 10 14 15 18 20',
    unit: '',
    outside: 3,
    source: s.madExample,
    tolerance: 'exact',
    model: () => lapStatistics([10, 14, 15, 18, 20]).madS,
  },
  {
    what: 'MAD of 1 1 2 2 4 6 9',
    unit: '',
    outside: 1,
    source: s.madWiki,
    tolerance: 'exact',
    model: () => lapStatistics([1, 1, 2, 2, 4, 6, 9]).madS,
  },
  {
    what: 'Norris: slope',
    unit: '',
    outside: 1.00211681802045 / 2,
    source: s.norris,
    tolerance: 'certified',
    model: () => -norris().lossPerRunMm,
  },
  {
    what: 'Norris: intercept (halved, shifted by 10)',
    unit: '',
    outside: 10 - 0.262323073774029 / 2,
    source: s.norris,
    tolerance: 'certified',
    model: () => norris().newDiameterMm,
  },
  {
    what: 'Norris: residual standard deviation',
    unit: '',
    outside: 0.884796396144373 / 2,
    source: s.norris,
    tolerance: 'certified',
    model: () => there(norris().residualMm),
  },
  {
    what: 'normal distribution at 1.96',
    unit: '',
    outside: 0.975,
    source: s.normalTable,
    tolerance: 'normalTable',
    model: () => normal(1.96),
  },
  {
    what: 'normal distribution at -1',
    unit: '',
    outside: 0.1587,
    source: s.normalTable,
    tolerance: 'normalTable',
    model: () => normal(-1),
  },
]

export const unitRows: ReferenceRow[] = [
  {
    what: '1 ozf in',
    unit: 'Nm',
    outside: 7.061552e-3,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'oz-in', 'Nm'),
  },
  {
    what: '1 lbf in',
    unit: 'Nm',
    outside: 0.1129848,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'lb-in', 'Nm'),
  },
  {
    what: '1 lbf ft',
    unit: 'Nm',
    outside: 1.355818,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'lb-ft', 'Nm'),
  },
  {
    what: '1 lbf/in',
    unit: 'N/m',
    outside: 175.1268,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'lb/in', 'N/m'),
  },
  {
    what: '1 lbf',
    unit: 'N',
    outside: 4.448222,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'lbf', 'N'),
  },
  {
    what: '1 ozf',
    unit: 'N',
    outside: 0.2780139,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'ozf', 'N'),
  },
  {
    what: '1 oz',
    unit: 'g',
    outside: 28.34952,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'oz', 'g'),
  },
  {
    what: '1 lb',
    unit: 'kg',
    outside: 0.45359237,
    source: s.nist811,
    tolerance: 'exact',
    model: () => convert(1, 'lb', 'kg'),
  },
  {
    what: '1 in',
    unit: 'mm',
    outside: 25.4,
    source: s.nist811,
    tolerance: 'exact',
    model: () => convert(1, 'in', 'mm'),
  },
  {
    what: '1 hp (550 ft lbf/s)',
    unit: 'W',
    outside: 745.6999,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'hp', 'W'),
  },
  {
    what: '1 mph',
    unit: 'm/s',
    outside: 0.44704,
    source: s.nist811,
    tolerance: 'exact',
    model: () => convert(1, 'mph', 'm/s'),
  },
  {
    what: '1 kgf m',
    unit: 'Nm',
    outside: 9.80665,
    source: s.nist811,
    tolerance: 'exact',
    model: () => 100 * convert(1, 'kg-cm', 'Nm'),
  },
  {
    what: '1 rpm',
    unit: 'rad/s',
    outside: 0.1047198,
    source: s.nist811,
    tolerance: 'nist',
    model: () => convert(1, 'rpm', 'rad/s'),
  },
  {
    what: '212 °F',
    unit: '°C',
    outside: 100,
    source: s.nist811,
    tolerance: 'exact',
    model: () => convert(212, 'F', 'C'),
  },
  {
    what: '-40 °C',
    unit: '°F',
    outside: -40,
    source: s.nist811,
    tolerance: 'exact',
    model: () => convert(-40, 'C', 'F'),
  },
]
