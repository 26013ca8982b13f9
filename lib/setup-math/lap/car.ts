import type { Boost } from '../controller/boost'
import type { TriggerSettings } from '../controller/trigger-model'
import type { Turbo } from '../controller/turbo'
import type { MotorConstants } from '../motor/motor-curve'
import type { SlipLaw } from '../losses/slip'
import type { Pack } from '../pack/pack'

/** Two nodes, winding and can, as motor makers state them. */
export interface MotorThermal {
  windingToCanKPerW: number
  canToAmbientKPerW: number
  windingTimeConstantS: number
  canTimeConstantS: number
  /** Share per kelvin; copper's when absent. */
  copperCoefficient?: number
}

export interface CarMotor extends MotorConstants {
  /** kg m²; none when absent. */
  rotorInertiaKgM2?: number
  /** Timing at the endbell beyond the setting at which Kv was measured, degrees (may be negative). */
  extraTimingDeg?: number
  /** Mean square over square of the mean of the current that commutation ripples, 1 to 1.5; 1 when absent. */
  formFactor2?: number
  /** Between two leads, H; absent: the chopper's ripple costs nothing. */
  inductanceH?: number
  /** Share of the no-load current that goes with speed, 0..1, and the speed at which it was read; 0 and Kv at 7.4 V when absent. */
  noLoadSpeedShare?: number
  noLoadRpm?: number
  /** Rise of the loss torque per degree of timing; the gain of Kv when absent. */
  noLoadRisePerDegree?: number
  /** Change of Kt per kelvin of the magnets, about -0.0011; 0 when absent. */
  magnetPerKelvin?: number
  /** Absent: the winding keeps the temperature at which its resistance was measured. */
  thermal?: MotorThermal
  /** Both nodes at the start of the run, °C; the ambient temperature when absent. */
  startTemperatureC?: number
}

export interface CarController {
  resistanceOhm?: number
  /** Motor current limit, A; 0 or absent is none. */
  currentLimitA?: number
  boost?: Boost | 0 | null
  turbo?: Turbo | 0 | null
  /** Frequency of the chopper, Hz. */
  driveFrequencyHz?: number
  /** Volts lost while the current runs on in the bridge, at part throttle; 0 when absent. */
  freewheelV?: number
  /** Share of the braking energy at the motor that goes back into the pack, 0..1; none when absent. Differs by make: the team learns it. */
  brakeReturnShare?: number
  /** Cutoff, volts per cell under load; 0 or absent is off. */
  cutoffVoltsPerCell?: number
  /** What happens between the trigger and the duty; not part of a lap, which is driven at the limit. */
  trigger?: TriggerSettings
}

/** What the tires lose. Each member may be absent. */
export interface CarTires {
  /** Slip of the driven tires over the use of their grip. */
  slip?: SlipLaw
  /** Slip angle at the peak, degrees; absent: corners drag nothing. */
  peakAngleDeg?: number
  /** Vertical rate of one tire, N/m: rough ground costs in proportion to it. */
  rateNPerM?: number
}

/** A whole car, SI. Members marked optional may be absent or zero. */
export interface Car {
  massKg: number
  /** 2wd drives the rear axle. */
  driven: '2wd' | '4wd'
  /** Share of the weight on the front axle, at rest. */
  frontStaticShare: number
  wheelbaseM: number
  cgHeightM: number
  tireDiameterMm: number
  /** Friction coefficient of the car's tires on the surface whose factor is 1. */
  grip: number
  /**
   * The driver's habit out of a corner: the share of the time at the grip limit on a straight for which the trigger is already full. 1 when absent.
   */
  exitTriggerShare?: number
  /** Share of the grip that braking uses; from the driven axle's load when absent. */
  brakeShare?: number
  rollingCoefficient?: number
  /** Rise of the rolling coefficient per m/s; 0 when absent. */
  rollingPerSpeed?: number
  tires?: CarTires
  /** Torque that the driveline takes of its own, Nm at the wheels; 0 when absent. */
  drivelineTorqueNm?: number
  /** C_l A of body and wing, m²; 0 when absent. */
  liftAreaM2?: number
  dragAreaM2?: number
  airDensityKgM3?: number
  pinion: number
  spur: number
  internalRatio: number
  driveEfficiency: number
  /** One wheel's; four are counted. */
  wheelInertiaKgM2?: number
  motor: CarMotor
  controller?: CarController
  pack: Pack
  /** What receiver, servos and fan draw all the time, A. */
  accessoryCurrentA?: number
  /** Share of Kv gained per degree of boost, turbo or extra timing; `usualAdvanceGainPerDegree` when absent. */
  advanceGainPerDegree?: number
  /** 25 when absent. */
  ambientC?: number
}
