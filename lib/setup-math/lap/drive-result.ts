import type { Maybe } from '../maybe'

export type DriveLimit = 'grip' | 'current' | 'motor' | 'braking'

/** One point of a trace. Timing is what boost and turbo add. */
export interface TracePoint {
  timeS: number
  distanceM: number
  speedMps: number
  motorCurrentA: number
  batteryCurrentA: number
  packVoltageV: number
  timingDeg: number
  motorRpm: number
  limit: DriveLimit
}

export type DriveEventKind =
  | 'grip lets go to motor'
  | 'grip lets go to current limit'
  | 'grip limit'
  | 'current limit'
  | 'current limit ends'
  | 'boost starts'
  | 'boost full'
  | 'boost falls'
  | 'turbo fires'
  | 'turbo full'
  | 'braking'

export interface DriveEvent {
  kind: DriveEventKind
  timeS: number
  distanceM: number
  speedMps: number
}

/** Turbo on one segment. `firesAtS` counts from the segment's start; absent when it does not fire here. */
export interface TurboUse {
  fires: boolean
  firesAtS: Maybe<number>
  activeS: number
  peakDeg: number
}

export interface SegmentRun {
  timeS: number
  entrySpeedMps: number
  exitSpeedMps: number
  /** Highest speed: at the braking point where there is one, else at the exit. */
  peakSpeedMps: number
  /** Where braking starts; absent when the car does not brake here. */
  brakeAtM: Maybe<number>
  turbo: TurboUse
  /** Longest unbroken full trigger, s, as a controller counts it, and the time at the grip limit. */
  fullThrottleS: number
  gripLimitedS: number
  currentLimitedS: number
  chargeC: number
  /** Heat that electric braking leaves in the motor, winding and can, J. */
  brakeHeatJ: number
  minPackVoltageV: number
  peakMotorCurrentA: number
  peakBatteryCurrentA: number
  peakMotorRpm: number
  events: DriveEvent[]
}
