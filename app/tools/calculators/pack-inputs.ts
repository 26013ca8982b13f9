import type { Pack } from '@/lib/setup-math'
import { POUCH_REST_VOLTAGE } from '@/lib/card/projections/pouch-rest-voltage'
import { input } from '../calculator'

export const pack = (v: Readonly<Record<string, number | undefined>>, soc: number): Pack => ({
  cells: v['cells'] ?? 2,
  capacityAh: (v['capacityMah'] ?? 0) / 1000,
  resistanceOhm: (v['milliohm'] ?? 0) / 1000,
  stateOfCharge: soc,
  restVoltageTable: POUCH_REST_VOLTAGE,
})

export const packInputs = [
  input('cells', 'Cells in series', '', 1, 6, 2, 1),
  input('capacityMah', 'Capacity', 'mAh', 200, 20000, 6000),
  input('milliohm', 'Pack resistance, leads included', 'mΩ', 0, 200, 8),
] as const

export const PACK_SOURCE =
  'Rest voltage over charge, straight between 5% steps: PyBaMM, parameter set Ai2020 (lithium cobalt oxide pouch cell); Ohm’s law; arithmetic.'
