import {
  airTravel,
  ballastFor,
  cgHeight,
  centreDistance,
  chargeTime,
  cornerWeights,
  dampingRatio,
  finalDrive,
  isAbsent,
  loadedVoltage,
  packEnergyWh,
  paceFor,
  rideFrequency,
  rideRate,
  rollout,
  sameSpeedFinalDrive,
  speedAtRpm,
  usableCharge,
  wheelRate,
  type Pack,
} from '@/lib/setup-math'
import { POUCH_REST_VOLTAGE } from '@/lib/card/pouch-rest-voltage'
import { row, type CalcInput, type Calculator } from './calculator'

const input = (
  id: string,
  label: string,
  unit: string,
  min: number,
  max: number,
  example: number,
  step?: number,
): CalcInput => ({ id, label, unit, min, max, example, ...(step !== undefined && { step }) })

const pack = (v: Readonly<Record<string, number>>, soc: number): Pack => ({
  cells: v['cells'] ?? 2,
  capacityAh: (v['capacityMah'] ?? 0) / 1000,
  resistanceOhm: (v['milliohm'] ?? 0) / 1000,
  stateOfCharge: soc,
  restVoltageTable: POUCH_REST_VOLTAGE,
})
const packInputs = [
  input('cells', 'Cells in series', '', 1, 6, 2, 1),
  input('capacityMah', 'Capacity', 'mAh', 200, 20000, 6000),
  input('milliohm', 'Pack resistance, leads included', 'mΩ', 0, 200, 8),
] as const
const PACK_SOURCE =
  'Rest voltage: PyBaMM, parameter set Ai2020 (lithium cobalt oxide pouch cell); the example’s figures were computed from it.'

const gearPair: Calculator = {
  id: 'gear-pair',
  title: 'Gear pair',
  about: 'What a pinion and a spur make of the motor’s turns, and how far apart they sit.',
  inputs: [
    input('pinion', 'Pinion', 't', 8, 60, 31, 1),
    input('spur', 'Spur', 't', 30, 140, 72, 1),
    input('internalRatio', 'Internal ratio', '', 0.5, 10, 2.6),
    input('tireDiameterMm', 'Driven tire diameter', 'mm', 40, 150, 83),
    input('moduleMm', 'Module (25.4 divided by diametral pitch)', 'mm', 0.2, 1.5, 0.5),
    input('rpm', 'Motor speed', 'rpm', 0, 100000, 30000),
  ],
  compute: (v) => {
    const { pinion = 0, spur = 0, internalRatio = 0, tireDiameterMm = 0, moduleMm = 0, rpm = 0 } = v
    const ratio = finalDrive({ pinion, spur, internalRatio })
    const rolloutMm = rollout({ tireDiameterMm, finalDrive: ratio })
    return [
      row('finalDrive', 'Final drive ratio', ratio, '', 4),
      row('rollout', 'Rollout', rolloutMm, 'mm/turn', 3),
      row('speed', 'Speed at that motor speed', speedAtRpm({ rpm, rolloutMm }), 'm/s', 3),
      row('centre', 'Centre distance', centreDistance({ moduleMm, pinion, spur }), 'mm', 3),
    ]
  },
  example: {
    text: '31 on 72 with an internal ratio of 2.6 on 83 mm tires: 6.0387 motor turns per wheel turn, 43.180 mm per motor turn, 21.590 m/s at 30 000 rpm; module 0.5 puts the shafts 25.75 mm apart.',
    source: 'Gear formula m (z1 + z2) / 2 and arithmetic.',
    expect: { finalDrive: 6.03870968, rollout: 43.180117, speed: 21.5900585, centre: 25.75 },
  },
  note: 'Set the mesh with the pack unplugged.',
}

const sameSpeed: Calculator = {
  id: 'same-speed',
  title: 'Same speed after a change',
  about: 'The final drive ratio that keeps the speed after another motor, another cell count or other tires.',
  inputs: [
    input('finalDrive', 'Final drive ratio now', '', 1, 30, 6.0387),
    input('kvBefore', 'Kv now', 'rpm/V', 100, 20000, 2200),
    input('kvAfter', 'Kv then', 'rpm/V', 100, 20000, 2750),
    input('cellsBefore', 'Cells now', '', 1, 6, 2, 1),
    input('cellsAfter', 'Cells then', '', 1, 6, 2, 1),
    input('tireBefore', 'Tire diameter now', 'mm', 40, 150, 83),
    input('tireAfter', 'Tire diameter then', 'mm', 40, 150, 83),
  ],
  compute: (v) => {
    const at = (when: 'Before' | 'After') => ({
      kvRpmPerVolt: v[`kv${when}`] ?? 0,
      voltageV: v[`cells${when}`] ?? 0,
      tireDiameterMm: v[`tire${when}`] ?? 0,
    })
    const ratio = sameSpeedFinalDrive(v['finalDrive'] ?? 0, at('Before'), at('After'))
    return [row('ratio', 'Final drive ratio then', ratio, '', 4)]
  },
  example: {
    text: 'From 2200 to 2750 rpm/V at a ratio of 6.0387: 6.0387 × 2750 / 2200 = 7.5484.',
    source: 'No-load speed law, speed ~ Kv V D / ratio; arithmetic.',
    expect: { ratio: 7.548375 },
  },
}

const packTime: Calculator = {
  id: 'pack-time',
  title: 'How long a pack lasts',
  about: 'Charge that a pack gives at a steady current until its voltage under that load falls to a floor.',
  inputs: [
    ...packInputs,
    input('soc', 'State of charge at the start', '%', 1, 100, 100),
    input('loadA', 'Mean current', 'A', 0.1, 300, 60),
    input('floorPerCell', 'Floor under load', 'V/cell', 2.5, 4.2, 3.2),
  ],
  compute: (v) => {
    const p = pack(v, (v['soc'] ?? 100) / 100)
    const loadA = v['loadA'] ?? 1
    const ah = usableCharge(p, { loadA, floorV: (v['floorPerCell'] ?? 3.2) * p.cells })
    return [
      row('charge', 'Charge until then', ah, 'Ah', 3),
      row('minutes', 'Time until then', (ah / loadA) * 60, 'min', 2),
      row('start', 'Voltage under load at the start', loadedVoltage(p, loadA), 'V', 3),
    ]
  },
  example: {
    text: 'Two cells of 6000 mAh and 8 mΩ, full, at 60 A down to 6.4 V: 5.753 Ah, 5.75 minutes, 7.92 V to begin with.',
    source: PACK_SOURCE,
    expect: { charge: 5.753409, minutes: 5.753409, start: 7.92 },
  },
  note: 'A race draws in bursts, so its mean current is far below this. Never run a pack until the car stops.',
  caution: 'pack',
}

const charge: Calculator = {
  id: 'charge-time',
  title: 'How long a charge takes',
  about:
    'Constant current until the pack is at full voltage, then constant voltage until the current has tapered.',
  inputs: [
    ...packInputs,
    input('from', 'From', '%', 0, 99, 20),
    input('to', 'To', '%', 1, 100, 100),
    input('currentA', 'Charge current', 'A', 0.1, 100, 6),
    input('full', 'Full voltage', 'V/cell', 3.6, 4.35, 4.2),
    input('cutoffA', 'The charger stops at', 'A', 0.01, 20, 0.3),
  ],
  compute: (v) => {
    const time = chargeTime(pack(v, 1), {
      fromSoc: (v['from'] ?? 0) / 100,
      toSoc: (v['to'] ?? 100) / 100,
      currentA: v['currentA'] ?? 1,
      fullVoltsPerCell: v['full'] ?? 4.2,
      cutoffA: v['cutoffA'] ?? 0.3,
    })
    if (isAbsent(time)) return `${time.reason}.`
    return [
      row('cc', 'At constant current', time.constantCurrentS / 60, 'min', 2),
      row('cv', 'At constant voltage', time.constantVoltageS / 60, 'min', 2),
      row('total', 'Together', time.totalS / 60, 'min', 2),
      row('rate', 'Charge rate', (v['currentA'] ?? 0) / ((v['capacityMah'] ?? 1) / 1000), 'C', 2),
    ]
  },
  example: {
    text: 'Two cells of 6000 mAh and 8 mΩ from 20 to 100 % at 6 A (1 C), stopping at 0.3 A: 46.83 minutes and 3.50 minutes.',
    source: `${PACK_SOURCE} A real taper is longer.`,
    expect: { cc: 46.83117, cv: 3.501505, rate: 1 },
  },
  note: 'Keep to the pack maker’s rate and to the event’s cap.',
  caution: 'pack',
}

const flight: Calculator = {
  id: 'flight',
  title: 'A pack on a flight',
  about: 'The energy that an airline counts.',
  inputs: [
    input('volts', 'Nominal voltage', 'V', 1, 60, 7.4),
    input('capacityMah', 'Capacity', 'mAh', 100, 50000, 6000),
  ],
  compute: (v) => [
    row(
      'wh',
      energyLabel(v),
      packEnergyWh({ voltageV: v['volts'] ?? 0, capacityAh: (v['capacityMah'] ?? 0) / 1000 }),
      'Wh',
      1,
    ),
  ],
  example: {
    text: '7.4 V and 6000 mAh are 44.4 Wh: as a spare in carry-on, without approval.',
    source:
      'IATA Dangerous Goods Regulations 2.3; FAA PackSafe: over 100 Wh needs approval, over 160 Wh is not carried.',
    expect: { wh: 44.4 },
  },
  note: 'The carrier’s own rules come first. Spares never go in checked baggage; tape their terminals.',
  caution: 'pack',
}
const energyLabel = (v: Readonly<Record<string, number>>): string =>
  `Energy: ${airTravel(packEnergyWh({ voltageV: v['volts'] ?? 0, capacityAh: (v['capacityMah'] ?? 0) / 1000 }))}`

const corners: Calculator = {
  id: 'corner-weights',
  title: 'Corner weights',
  about: 'Four scales, the car ready to run, steering straight.',
  inputs: [
    input('lf', 'Left front', 'g', 0, 5000, 300),
    input('rf', 'Right front', 'g', 0, 5000, 308),
    input('lr', 'Left rear', 'g', 0, 5000, 490),
    input('rr', 'Right rear', 'g', 0, 5000, 502),
  ],
  compute: (v) => {
    const { lf = 0, rf = 0, lr = 0, rr = 0 } = v
    const c = cornerWeights({ lf, rf, lr, rr })
    return [
      row('total', 'Weight', c.total, 'g', 0),
      row('front', 'Front', c.frontPercent, '%', 2),
      row('left', 'Left', c.leftPercent, '%', 2),
      row('cross', 'Cross (right front and left rear)', c.crossPercent, '%', 2),
    ]
  },
  example: {
    text: '300, 308, 490 and 502 g: 1600 g, front 38 %, left 49.375 %, cross 49.875 %.',
    source: 'Definition; arithmetic.',
    expect: { total: 1600, front: 38, left: 49.375, cross: 49.875 },
  },
}

/** Where ballast usually goes: along the car as a share of the wheelbase from the rear axle, across as a share of the track from the right. */
const PLACES = [
  { name: 'Front axle', forward: 1, leftward: 0.5 },
  { name: 'Left side', forward: 0.5, leftward: 0.8 },
  { name: 'Right side', forward: 0.5, leftward: 0.2 },
  { name: 'Rear axle', forward: 0, leftward: 0.5 },
] as const
const ballast: Calculator = {
  id: 'ballast',
  title: 'Ballast',
  about: 'The least mass that reaches a front share and a minimum weight, over four usual places.',
  inputs: [
    input('massG', 'Weight now', 'g', 500, 5000, 1500),
    input('frontPercent', 'Front now', '%', 10, 90, 38),
    input('leftPercent', 'Left now', '%', 10, 90, 50),
    input('wantedFront', 'Front wanted', '%', 10, 90, 40),
    input('tolerance', 'Within', '%', 0, 10, 0),
    input('minimumG', 'Minimum weight', 'g', 500, 5000, 1530),
    input('mostG', 'At most in one place', 'g', 0, 500, 100),
  ],
  compute: (v) => {
    const places = PLACES.map((p) => ({ ...p, maxKg: (v['mostG'] ?? 0) / 1000 }))
    const plan = ballastFor(
      {
        massKg: (v['massG'] ?? 0) / 1000,
        frontPercent: v['frontPercent'] ?? 50,
        leftPercent: v['leftPercent'] ?? 50,
      },
      places,
      {
        frontPercent: v['wantedFront'] ?? 50,
        leftPercent: v['leftPercent'] ?? 50,
        tolerancePercent: v['tolerance'] ?? 0,
        minimumKg: (v['minimumG'] ?? 0) / 1000,
      },
    )
    if (isAbsent(plan)) return `${plan.reason}.`
    return [
      ...places.map((p, i) => row(`at ${p.name}`, p.name, (plan.massesKg[i] ?? 0) * 1000, 'g', 1)),
      row('added', 'Added', plan.addedKg * 1000, 'g', 1),
      row('total', 'Weight then', plan.totalKg * 1000, 'g', 0),
      row('front', 'Front then', plan.frontPercent, '%', 2),
      row('left', 'Left then', plan.leftPercent, '%', 2),
    ]
  },
  example: {
    text: '1500 g with 38 % in front, 40 % wanted: 50 g on the front axle, since (570 + 50) / 1550 = 40 %.',
    source: 'Arithmetic; the least mass by linear programming.',
    expect: { 'at Front axle': 50, added: 50, total: 1550, front: 40, left: 50 },
  },
  note: 'Left and right are kept as they are. Fix ballast with screws: tape alone lets go in a crash.',
}

const centre: Calculator = {
  id: 'cg-height',
  title: 'Centre of gravity height',
  about: 'By raising the rear axle: suspension locked, all wheels free to roll.',
  inputs: [
    input('wheelbaseMm', 'Wheelbase', 'mm', 150, 500, 285),
    input('raiseMm', 'Rear axle raised by', 'mm', 5, 250, 120),
    input('radiusMm', 'Wheel radius', 'mm', 20, 80, 41.5),
    input('massG', 'Weight', 'g', 500, 5000, 1600),
    input('levelG', 'Front, level', 'g', 100, 4000, 608),
    input('raisedG', 'Front, raised', 'g', 100, 4000, 643.18),
  ],
  compute: (v) => {
    const h = cgHeight({
      wheelbaseM: (v['wheelbaseMm'] ?? 0) / 1000,
      raiseM: (v['raiseMm'] ?? 0) / 1000,
      wheelRadiusM: (v['radiusMm'] ?? 0) / 1000,
      massKg: (v['massG'] ?? 0) / 1000,
      frontLevelKg: (v['levelG'] ?? 0) / 1000,
      frontRaisedKg: (v['raisedG'] ?? 0) / 1000,
    })
    if (isAbsent(h)) return `${h.reason}.`
    return [
      row('height', 'Height', h.heightM * 1000, 'mm', 2),
      row('perGram', 'One gram at the front scale moves it by', h.perGramM * 1000, 'mm', 3),
    ]
  },
  example: {
    text: '1600 g on 285 mm, rear up 120 mm, front from 608 to 643.18 g: 55.0 mm; one gram is 0.384 mm.',
    source: 'Raised-axle method (Milliken, Race Car Vehicle Dynamics ch. 18, from memory); arithmetic.',
    expect: { height: 55, perGram: 0.384 },
  },
}

const ride: Calculator = {
  id: 'ride-frequency',
  title: 'Ride frequency',
  about: 'What a spring feels like at the wheel, and how fast the car nods on it.',
  inputs: [
    input('springNPerMm', 'Spring rate', 'N/mm', 0.01, 500, 140.101),
    input('motionRatio', 'Motion ratio, spring travel over wheel travel', '', 0.1, 2, 0.7334),
    input('tireNPerMm', 'Tire rate', 'N/mm', 0.1, 1000, 318.03),
    input('massKg', 'Sprung mass on that wheel', 'kg', 0.05, 1000, 312),
    input('damper', 'Damping rate of the damper', 'N s/m', 0, 100000, 5000),
  ],
  compute: (v) => {
    const { springNPerMm = 0, motionRatio = 0, tireNPerMm = 0, massKg = 0, damper = 0 } = v
    const wheelRateNPerM = wheelRate({ springNPerM: springNPerMm * 1000, motionRatio })
    const with_ = { wheelRateNPerM, tireRateNPerM: tireNPerMm * 1000 }
    return [
      row('wheelRate', 'Wheel rate', wheelRateNPerM / 1000, 'N/mm', 3),
      row('rideRate', 'With the tire', rideRate(with_) / 1000, 'N/mm', 3),
      row('frequency', 'Ride frequency', rideFrequency({ ...with_, massKg }), 'Hz', 2),
      row(
        'damping',
        'Damping ratio',
        dampingRatio({ damperNsPerM: damper, motionRatio, ...with_, massKg }),
        '',
        2,
      ),
    ]
  },
  example: {
    text: 'A full-size car’s corner: 140.101 N/mm at 0.7334 give 75.36 N/mm at the wheel, 60.92 with a 318.03 N/mm tire, 2.22 Hz under 312 kg.',
    source: 'Worked example, engineering forum 2013; damping left to you.',
    expect: { wheelRate: 75.357, rideRate: 60.922, frequency: 2.22 },
  },
}

const pace: Calculator = {
  id: 'pace',
  title: 'Pace',
  about: 'What a steady lap makes of a race, and what one lap more takes.',
  inputs: [
    input('raceSeconds', 'Race length', 's', 30, 3600, 300, 1),
    input('lapSeconds', 'Lap', 's', 3, 300, 22.4),
  ],
  compute: (v) => {
    const p = paceFor({ raceSeconds: v['raceSeconds'] ?? 0, lapSeconds: v['lapSeconds'] ?? 0 })
    return [
      row('laps', 'Laps', p.laps, '', 0),
      row('finish', 'Finish', p.finishSeconds, 's', 1),
      row('oneMore', 'One lap more below', p.lapForOneMore, 's', 3),
    ]
  },
  example: {
    text: '22.4 s laps for five minutes: 14 laps in 5:13.6; one more below 21.429 s.',
    source: 'Common practice of timed heats; arithmetic.',
    expect: { laps: 14, finish: 313.6, oneMore: 21.4285714 },
  },
}

export const CALCULATORS: readonly Calculator[] = [
  gearPair,
  sameSpeed,
  packTime,
  charge,
  corners,
  ballast,
  centre,
  ride,
  pace,
  flight,
]
