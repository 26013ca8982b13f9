import {
  airProperties,
  airTravel,
  chargeTime,
  loadedVoltage,
  motorHeat,
  nusseltCylinder,
  packEnergyWh,
  stateOfChargeAtRest,
  timeToWindingTemperature,
  usableCharge,
} from '@/lib/setup-math'
import { pouchTable } from './fixtures/pouch-table'
import { sources as s, type ReferenceRow } from './reference-row'
import { there } from '../support/there'

const pack = (stateOfCharge: number) => ({
  cells: 2,
  capacityAh: 6,
  resistanceOhm: 0.008,
  stateOfCharge,
  restVoltageTable: pouchTable,
})
const charge = (currentA: number) =>
  there(chargeTime(pack(0.2), { fromSoc: 0.2, toSoc: 1, currentA, fullVoltsPerCell: 4.2, cutoffA: 0.3 }))

export const packRows: ReferenceRow[] = [
  {
    what: 'rest voltage 3.80 V',
    unit: '%',
    outside: 52.0,
    source: s.pybamm,
    tolerance: 'chartOcv',
    model: () => 100 * stateOfChargeAtRest(pouchTable, 3.8),
  },
  {
    what: 'rest voltage 3.70 V',
    unit: '%',
    outside: 20.9,
    source: s.pybamm,
    tolerance: 'chartOcv',
    model: () => 100 * stateOfChargeAtRest(pouchTable, 3.7),
  },
  {
    what: '60 A, full',
    unit: 'V',
    outside: 7.92,
    source: s.computed,
    tolerance: 'exact',
    model: () => loadedVoltage(pack(1), 60),
  },
  {
    what: '60 A, half',
    unit: 'V',
    outside: 7.105,
    source: s.computed,
    tolerance: 'exact',
    model: () => loadedVoltage(pack(0.5), 60),
  },
  {
    what: '60 A, 20%',
    unit: 'V',
    outside: 6.9106,
    source: s.computed,
    tolerance: 'exact',
    model: () => loadedVoltage(pack(0.2), 60),
  },
  {
    what: 'usable charge to 6.4 V at 60 A',
    unit: 'Ah',
    outside: 5.753409,
    source: s.computed,
    tolerance: 'closedForm',
    model: () => usableCharge(pack(1), { loadA: 60, floorV: 6.4 }),
  },
  {
    what: 'charge at 1C, constant current',
    unit: 'min',
    outside: 46.83117,
    source: s.computed,
    tolerance: 'closedForm',
    model: () => charge(6).constantCurrentS / 60,
  },
  {
    what: 'charge at 1C, constant voltage',
    unit: 'min',
    outside: 3.501505,
    source: s.computed,
    tolerance: 'closedForm',
    model: () => charge(6).constantVoltageS / 60,
  },
  {
    what: 'charge at 2C, constant current',
    unit: 'min',
    outside: 22.83117,
    source: s.computed,
    tolerance: 'closedForm',
    model: () => charge(12).constantCurrentS / 60,
  },
  {
    what: 'charge at 2C, constant voltage',
    unit: 'min',
    outside: 4.311677,
    source: s.computed,
    tolerance: 'closedForm',
    model: () => charge(12).constantVoltageS / 60,
  },
  {
    what: 'energy, 7.4 V 6.0 Ah',
    unit: 'Wh',
    outside: 44.4,
    source: s.arithmetic,
    tolerance: 'exact',
    model: () => packEnergyWh({ voltageV: 7.4, capacityAh: 6 }),
  },
  {
    what: 'energy, 11.1 V 4.4 Ah',
    unit: 'Wh',
    outside: 48.84,
    source: s.wattHour,
    tolerance: 'exact',
    model: () => packEnergyWh({ voltageV: 11.1, capacityAh: 4.4 }),
  },
  {
    what: 'energy, 10.8 V 2.5 Ah',
    unit: 'Wh',
    outside: 27,
    source: s.wattHour,
    tolerance: 'exact',
    model: () => packEnergyWh({ voltageV: 10.8, capacityAh: 2.5 }),
  },
  {
    what: 'highest energy carried without approval',
    unit: 'Wh',
    outside: 100,
    source: s.airRules,
    tolerance: 'exact',
    model: () => highest('carry-on'),
  },
  {
    what: 'highest energy carried at all',
    unit: 'Wh',
    outside: 160,
    source: s.airRules,
    tolerance: 'exact',
    model: () => highest('carry-on with approval'),
  },
]

const highest = (how: string) =>
  Math.max(...Array.from({ length: 400 }, (_, i) => i).filter((wh) => airTravel(wh) === how))

const motor = {
  windingToCanKPerW: 0.74,
  canToAmbientKPerW: 8.96,
  windingTimeConstantS: 4.12,
  canTimeConstantS: 968,
  resistance25Ohm: 0.836,
  copperCoefficient: 0.0039,
}
const load = { currentA: 24 / 80 / 0.0261, seconds: 30, ambientC: 25 }
const heated = () => there(motorHeat(motor, load))
/** Without copper's rise and with the can held to ambient by a huge capacity, the winding is one node: 63.2% after one time constant. */
const oneNode = () => {
  const t = there(
    motorHeat(
      { ...motor, copperCoefficient: 0, canTimeConstantS: 1e6, canToAmbientKPerW: 1e-3 },
      { currentA: 1, seconds: 4.12, ambientC: 0 },
    ),
  )
  return t.windingC / (0.836 * 0.74)
}

export const heatRows: ReferenceRow[] = [
  ...(
    [
      [120, 0.71, 5.65356],
      [6071, 0.7, 40.6371],
      [25_000, 4, 174.054],
      [200_000, 60, 1727.58],
    ] as const
  ).map(([reynolds, prandtl, outside]): ReferenceRow => ({
    what: `cylinder in cross flow, Re ${reynolds}, Pr ${prandtl}`,
    unit: '',
    outside,
    source: s.cylinderExamples,
    tolerance: 'sixDigits',
    model: () => nusseltCylinder({ reynolds, prandtl }),
  })),
  ...(
    [
      [0, 0.0242, 1.73, 1.29],
      [38, 0.0267, 1.91, 1.14],
      [93, 0.031, 2.15, 0.96],
    ] as const
  ).flatMap(([airC, conductivity, viscosity, density]): ReferenceRow[] => [
    {
      what: `air at ${airC} °C, conductivity`,
      unit: 'W/(m K)',
      outside: conductivity,
      source: s.airTable,
      tolerance: 'airTable',
      model: () => airProperties(airC).conductivityWPerMK,
    },
    {
      what: `air at ${airC} °C, kinematic viscosity`,
      unit: 'mm²/s',
      outside: (10 * viscosity) / density,
      source: s.airTable,
      tolerance: 'airTable',
      model: () => 1e6 * airProperties(airC).kinematicViscosityM2PerS,
    },
  ]),
  {
    what: 'winding after 30 s, publisher’s Euler steps',
    unit: '°C',
    outside: 183.18,
    source: s.johnson,
    tolerance: 'heatEuler',
    model: () => heated().windingC,
  },
  {
    what: 'winding after 30 s, exact',
    unit: '°C',
    outside: 183.165969,
    source: s.heatScript,
    tolerance: 'heat',
    model: () => heated().windingC,
  },
  {
    what: 'can after 30 s, exact',
    unit: '°C',
    outside: 60.199986,
    source: s.heatScript,
    tolerance: 'heat',
    model: () => heated().canC,
  },
  {
    what: 'winding passes 130 °C',
    unit: 's',
    outside: 10.7278,
    source: s.heatScript,
    tolerance: 'heatTime',
    model: () => there(timeToWindingTemperature(motor, load, 130)),
  },
  {
    what: 'one node after one time constant',
    unit: '',
    outside: 0.632,
    source: s.arithmetic,
    tolerance: 'threeDigits',
    model: oneNode,
  },
]
