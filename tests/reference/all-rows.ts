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
import { dynamometerRows } from './dynamometer-rows'
import { cellRows, steadyRows, steeringRows } from './measured-rows'
import { heatRows, packRows } from './pack-heat-rows'
import type { ReferenceRow } from './reference-row'
import { standingsRows } from './standings-rows'
import { understeerRows } from './understeer-rows'

export const referenceGroups: Record<string, ReferenceRow[]> = {
  gearing: gearingRows,
  motor: [...motorRows, ...flatMotorRows, ...magnetRows, ...dynamometerRows],
  'straight and lap': [...launchRows, ...tractionRows, ...slipRows, ...airRows, ...bumpRows],
  'measured cars and handling': [...steadyRows, ...steeringRows, ...understeerRows],
  pack: [...packRows, ...cellPairRows, ...cellRows],
  heat: [...heatRows, ...tunnelRows],
  chassis: chassisRows,
  pace: paceRows,
  units: unitRows,
  standings: standingsRows,
}
