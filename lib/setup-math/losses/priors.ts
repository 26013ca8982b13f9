import { bumpsPrior } from './bumps'
import { peakAnglePrior } from './cornering-drag'
import { liftPrior } from './downforce'
import { drivelinePrior } from './driveline'
import { freewheelPrior } from './freewheel'
import { ironPrior } from './iron'
import { magnetPrior } from './magnets'
import { slowSagPrior } from '../pack/slow-sag'
import { ripplePrior } from './ripple'
import { rollingPerSpeedPrior, rollingPrior } from './rolling'
import { peakSlipPrior } from './slip'

export type LossSurface = keyof typeof bumpsPrior

/** What a team that measured nothing may assume of each loss: mean and one deviation. Common practice, no source; grounds stand with each term. */
export const lossPriors = {
  bumpsN: bumpsPrior,
  rolling: rollingPrior,
  peakSlip: peakSlipPrior,
  peakAngleDeg: peakAnglePrior.degrees,
  drivelineNm: drivelinePrior,
  rollingPerSpeed: rollingPerSpeedPrior.perSpeed,
  liftAreaM2: liftPrior.areaM2,
  formFactor2: ripplePrior.formFactor2,
  inductanceH: ripplePrior.inductanceH,
  driveFrequencyHz: ripplePrior.driveFrequencyHz,
  noLoadSpeedShare: ironPrior.speedShare,
  noLoadRisePerDegree: ironPrior.risePerDegree,
  freewheelV: freewheelPrior.volts,
  magnetPerKelvin: magnetPrior.perKelvin,
  slowShortMilliohm: slowSagPrior.shortMilliohm,
  slowShortS: slowSagPrior.shortS,
  slowLongMilliohm: slowSagPrior.longMilliohm,
  slowLongS: slowSagPrior.longS,
} as const
