export { RangeProblem } from './range-problem'
export { absent, isAbsent, mapMaybe, type Absent, type Maybe } from './maybe'
export { limits, usualRanges } from './limits'
export { copperPerKelvin, g, sdPerMad, z90 } from './constants'

export { finalDrive, type Gearing } from './gearing/final-drive'
export { rollout } from './gearing/rollout'
export { speedAtRpm } from './gearing/speed-at-rpm'
export { centreDistance } from './gearing/center-distance'
export { moduleFromDiametralPitch } from './gearing/module-from-diametral-pitch'
export { pairInSlot, type MountSlot } from './gearing/mount-slot'
export { rankGearPairs, type GearPairQuestion, type RankedGearPair } from './gearing/rank-gear-pairs'
export { sameSpeedFinalDrive, type SpeedBasis } from './gearing/same-speed-final-drive'

export { torqueConstant } from './motor/torque-constant'
export { motorCurve, type MotorConstants, type MotorCurve, type MotorPoint } from './motor/motor-curve'
export { rescaleWinding } from './motor/rescale-winding'
export { copperResistance } from './motor/copper-resistance'
export {
  kvFromNoLoad,
  kvWithTiming,
  timingGain,
  usualAdvanceGainPerDegree,
  type NoLoadReading,
} from './motor/timing'

export { boostDegrees, type Boost } from './controller/boost'
export { turboDegrees, type Turbo } from './controller/turbo'
export { cutoffActs } from './controller/low-voltage-cutoff'
export {
  punchLimitedDuty,
  triggerForDuty,
  triggerToDuty,
  usualSofteningRange,
  type TriggerSettings,
} from './controller/trigger-model'

export { restVoltage, stateOfChargeAtRest, type RestVoltageTable } from './pack/rest-voltage'
export { type Pack } from './pack/pack'
export { loadedVoltage } from './pack/loaded-voltage'
export { usableCharge } from './pack/usable-charge'
export { airTravel, packEnergyWh, type AirTravel } from './pack/pack-energy'
export { resistanceAtTemperature, usualActivationEnergy } from './pack/resistance-at-temperature'
export { chargeTime, type ChargeQuestion, type ChargeTime } from './pack/charge-time'

export type { Car, CarController, CarMotor, MotorThermal } from './lap/car'
export type {
  DriveEvent,
  DriveEventKind,
  DriveLimit,
  SegmentRun,
  TracePoint,
  TurboUse,
} from './lap/drive-result'
export { errorFigures, errorPriors, type ErrorFigure, type ErrorPrior } from './discrepancy/model-error'
export { conformalFactor, leastPredictions } from './discrepancy/conformal'
export { lossPriors, type LossSurface } from './losses/priors'
export { wheelsUpTorque, type WheelsUpReading } from './losses/wheels-up'
export { initialOfPeak } from './losses/slip'
export { ledgerNames, ledgerSlots, ledgerSum, type EnergyLedger } from './lap/ledger'
export { simulateStraight, type StraightRun } from './lap/simulate-straight'
export type { DriveSettings } from './lap/segment-driver'
export { simulateLap, type LapOptions, type LapRun, type LapSegment } from './lap/simulate-lap'
export { simulateRace, type RaceEnd, type RaceRun } from './race/simulate-race'

export {
  segmentLength,
  trackLength,
  type Corner,
  type Segment,
  type Straight,
  type Track,
} from './track/track'
export { fitGrip, type GripFit } from './track/fit-grip'
export { trackFromWalk, type WalkedStretch, type WalkedTrack } from './track/walked-track'

export {
  motorHeat,
  timeToWindingTemperature,
  type HeatLoad,
  type MotorHeatModel,
  type MotorTemperatures,
} from './heat/motor-heat'
export {
  airProperties,
  canToAmbient,
  nusseltCylinder,
  type AirProperties,
  type CanCooling,
} from './heat/can-cooling'

export { runsLeft, tireWear, type TireReading, type TireWear } from './tires/tire-wear'

export { cornerWeights, type CornerLoads, type CornerWeights } from './chassis/corner-weights'
export { cgHeight, type CgHeight, type RaisedAxleWeighing } from './chassis/cg-height'
export { dampingRatio, rideFrequency, rideRate, wheelRate } from './chassis/wheel-rate'
export { weightMargin } from './chassis/weight-margin'
export { ballastFor, type BallastPlace, type BallastPlan, type BallastTarget } from './chassis/ballast'

export { paceFor, type Pace } from './pace/pace-for'
export { lapStatistics, median, type LapStatistics } from './pace/lap-statistics'
export { projectRace, type RaceProjection } from './pace/race-projection'

export { convert, units, unitsLike, type UnitName } from './units/convert'

export { gripTrigger, type GripTrigger } from './lap/grip-trigger'
export { turboReport, type DelayTrial, type StraightTurbo, type TurboReport } from './compare/turbo-report'
export { gearingSweep, sameSpeedPairs, type GearChoice, type SweptPair } from './compare/gearing-sweep'
export {
  compareCars,
  differenceKinds,
  type Comparison,
  type Difference,
  type DifferenceKind,
  type TraceSample,
} from './compare/compare-cars'
export {
  withUncertainty,
  type Contribution,
  type UncertainInput,
  type UncertainValue,
  type UncertaintyQuestion,
} from './uncertainty/with-uncertainty'
export { carQuantities, carUncertainty, type CarUncertainty } from './uncertainty/car-uncertainty'
export { projectRaceWithUncertainty, type RaceProjectionOptions } from './uncertainty/project-race'
export {
  nearRace,
  type NearRace,
  type ProjectedFigure,
  type SmoothFigure,
  type SmoothFigures,
} from './uncertainty/near-race'
export { likelyResults, type LikelyResult } from './uncertainty/likely-results'

export { carSchema, gearChoiceSchema, packSchema, straightSchema, trackSchema } from './schema'
