import type { Car, Corner, Straight, Track } from '@/lib/setup-math'
import { pouchTable } from '../reference/fixtures/pouch-table'

/** A car with everything that the drive model knows: sag, current limit, boost, turbo, heat. Invented numbers within common practice. */
export const benchCar: Car = {
  massKg: 1.62,
  driven: '4wd',
  frontStaticShare: 0.47,
  wheelbaseM: 0.282,
  cgHeightM: 0.052,
  tireDiameterMm: 83,
  grip: 0.95,
  rollingCoefficient: 0.04,
  dragAreaM2: 0.02,
  airDensityKgM3: 1.19,
  pinion: 28,
  spur: 78,
  internalRatio: 2.6,
  driveEfficiency: 0.87,
  wheelInertiaKgM2: 6e-5,
  motor: {
    kvRpmPerVolt: 2600,
    resistanceOhm: 0.03,
    noLoadCurrentA: 2.5,
    rotorInertiaKgM2: 4e-6,
    thermal: {
      windingToCanKPerW: 0.5,
      canToAmbientKPerW: 2.2,
      windingTimeConstantS: 15,
      canTimeConstantS: 420,
    },
  },
  controller: {
    resistanceOhm: 0.001,
    currentLimitA: 90,
    boost: { degrees: 8, startRpm: 9000, endRpm: 20000 },
    turbo: { degrees: 12, delayS: 0.1, rampDegPerS: 80 },
    cutoffVoltsPerCell: 3.2,
  },
  pack: { cells: 2, capacityAh: 6, resistanceOhm: 0.009, stateOfCharge: 1, restVoltageTable: pouchTable },
  accessoryCurrentA: 1.2,
  advanceGainPerDegree: 0.01,
}

/** The same car, rear driven. */
export const rearCar: Car = { ...benchCar, driven: '2wd', frontStaticShare: 0.38, massKg: 1.55 }

const straight = (lengthM: number, grip = 1): Straight => ({ kind: 'straight', lengthM, grip })
const corner = (radiusM: number, arcDeg: number, grip = 1): Corner => ({
  kind: 'corner',
  radiusM,
  arcDeg,
  grip,
})

export const benchTrack: Track = {
  segments: [
    straight(34),
    corner(3, 180),
    straight(14),
    corner(2.5, 90),
    straight(9),
    corner(6, 60, 0.9),
    straight(19),
    corner(2, 170, 0.9),
    straight(12),
    corner(4, 110),
  ],
}

/** The bench car with every loss that the drive model knows, each within its prior. */
export const lossyCar: Car = {
  ...benchCar,
  rollingPerSpeed: 0.003,
  tires: { slip: { initial: 0.07, peak: 0.17 }, peakAngleDeg: 10, rateNPerM: 2500 },
  drivelineTorqueNm: 0.028,
  liftAreaM2: 0.012,
  exitTriggerShare: 0.6,
  motor: {
    ...benchCar.motor,
    formFactor2: 1.1,
    inductanceH: 1e-5,
    noLoadSpeedShare: 0.4,
    noLoadRisePerDegree: 0.02,
    magnetPerKelvin: -0.0011,
  },
  controller: { ...benchCar.controller, driveFrequencyHz: 16_000, freewheelV: 0.2, brakeReturnShare: 0.4 },
  pack: {
    ...benchCar.pack,
    slowSag: [
      { ohm: 0.002, seconds: 20 },
      { ohm: 0.0026, seconds: 230 },
    ],
    temperatureC: 22,
    resistanceReadAtC: 25,
    heatCapacityJPerK: 280,
  },
}
export const lossyTrack: Track = { ...benchTrack, roughnessM: 1e-5, jumpReturnedShare: 0.25 }
