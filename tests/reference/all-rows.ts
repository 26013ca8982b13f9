import { chassisRows, paceRows, unitRows } from './chassis-pace-rows'
import { gearingRows, motorRows } from './gearing-motor-rows'
import { launchRows } from './launch-rows'
import { heatRows, packRows } from './pack-heat-rows'
import type { ReferenceRow } from './reference-row'

export const referenceGroups: Record<string, ReferenceRow[]> = {
  gearing: gearingRows,
  motor: motorRows,
  'straight and lap': launchRows,
  pack: packRows,
  heat: heatRows,
  chassis: chassisRows,
  pace: paceRows,
  units: unitRows,
}
