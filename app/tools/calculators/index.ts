import type { Calculator } from '../calculator'
import { gearPairTool } from './gear-pair'
import { sameSpeedTool } from './same-speed'
import { packTimeTool } from './pack-time'
import { chargeTimeTool } from './charge-time'
import { cornerWeightsTool } from './corner-weights'
import { ballastTool } from './ballast'
import { cgHeightTool } from './cg-height'
import { rideFrequencyTool } from './ride-frequency'
import { paceTool } from './pace'
import { flightTool } from './flight'

/** In the order in which a day asks them. */
export const CALCULATORS: readonly Calculator[] = [
  gearPairTool,
  sameSpeedTool,
  packTimeTool,
  chargeTimeTool,
  cornerWeightsTool,
  ballastTool,
  cgHeightTool,
  rideFrequencyTool,
  paceTool,
  flightTool,
]
