import { chassisRows, paceRows, unitRows } from './chassis-pace-rows'
import { gearingRows, motorRows } from './gearing-motor-rows'
import {
  airRows,
  bumpRows,
  cellPairRows,
  flatMotorRows,
  magnetRows,
  slipRows,
  tractionRows,
  tunnelRows,
} from './handbook-rows'
import { launchRows } from './launch-rows'
import { cellRows, dynamometerRows, steadyRows, steeringRows } from './measured-rows'
import { heatRows, packRows } from './pack-heat-rows'
import type { ReferenceRow } from './reference-row'
import { standingsRows } from './standings-rows'

export const referenceGroups: Record<string, ReferenceRow[]> = {
  gearing: gearingRows,
  motor: [...motorRows, ...flatMotorRows, ...magnetRows, ...dynamometerRows],
  'straight and lap': [...launchRows, ...tractionRows, ...slipRows, ...airRows, ...bumpRows],
  'measured cars': [...steadyRows, ...steeringRows],
  pack: [...packRows, ...cellPairRows, ...cellRows],
  heat: [...heatRows, ...tunnelRows],
  chassis: chassisRows,
  pace: paceRows,
  units: unitRows,
  standings: standingsRows,
}
