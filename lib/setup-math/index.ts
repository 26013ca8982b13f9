export { RangeProblem } from './range-problem'
export { absent, isAbsent, mapMaybe, type Absent, type Maybe } from './maybe'
export { limits, usualRanges } from './limits'
export { copperPerKelvin, g } from './constants'

export { finalDrive, type Gearing } from './gearing/final-drive'
export { rollout } from './gearing/rollout'
export { speedAtRpm } from './gearing/speed-at-rpm'
export { centreDistance } from './gearing/centre-distance'
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
export type { EnergyLedger } from './lap/ledger'
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
