import { chassisRows, paceRows, unitRows } from './chassis-pace-rows'
import { gearingRows, motorRows } from './gearing-motor-rows'
import { airRows, cellPairRows, flatMotorRows, slipRows, tractionRows, tunnelRows } from './handbook-rows'
import { launchRows } from './launch-rows'
import { cellRows, dynamometerRows, steadyRows, steeringRows } from './measured-rows'
import { heatRows, packRows } from './pack-heat-rows'
import type { ReferenceRow } from './reference-row'

export const referenceGroups: Record<string, ReferenceRow[]> = {
  gearing: gearingRows,
  motor: [...motorRows, ...flatMotorRows, ...dynamometerRows],
  'straight and lap': [...launchRows, ...tractionRows, ...slipRows, ...airRows],
  'measured cars': [...steadyRows, ...steeringRows],
  pack: [...packRows, ...cellPairRows, ...cellRows],
  heat: [...heatRows, ...tunnelRows],
  chassis: chassisRows,
  pace: paceRows,
  units: unitRows,
}
