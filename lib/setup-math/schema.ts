import { z } from 'zod'
import type { Car } from './lap/car'
import type { Track } from './track/track'

/**
 * Shapes of the JSON of a car and a track. They say what is a number, what a word, and what may be absent; the ranges stand with the functions,
 * which name field, value and range themselves.
 */
const number = z.number()
const boost = z.strictObject({ degrees: number, startRpm: number, endRpm: number })
const turbo = z.strictObject({ degrees: number, delayS: number, rampDegPerS: number })

export const packSchema = z.strictObject({
  cells: number,
  capacityAh: number,
  resistanceOhm: number,
  stateOfCharge: number.optional(),
  restVoltageTable: z.array(z.tuple([number, number])).min(2),
  slowSag: z
    .array(z.strictObject({ ohm: number, seconds: number }))
    .max(2)
    .optional(),
  temperatureC: number.optional(),
  resistanceReadAtC: number.optional(),
  heatCapacityJPerK: number.optional(),
})

export const carSchema = z.strictObject({
  massKg: number,
  driven: z.enum(['2wd', '4wd']),
  frontStaticShare: number,
  wheelbaseM: number,
  cgHeightM: number,
  tireDiameterMm: number,
  grip: number,
  brakeShare: number.optional(),
  exitTriggerShare: number.optional(),
  rollingCoefficient: number.optional(),
  rollingPerSpeed: number.optional(),
  tires: z
    .strictObject({
      slip: z.strictObject({ initial: number, peak: number }).optional(),
      peakAngleDeg: number.optional(),
      rateNPerM: number.optional(),
    })
    .optional(),
  drivelineTorqueNm: number.optional(),
  liftAreaM2: number.optional(),
  dragAreaM2: number.optional(),
  airDensityKgM3: number.optional(),
  pinion: number,
  spur: number,
  internalRatio: number,
  driveEfficiency: number,
  wheelInertiaKgM2: number.optional(),
  motor: z.strictObject({
    kvRpmPerVolt: number,
    resistanceOhm: number,
    noLoadCurrentA: number,
    rotorInertiaKgM2: number.optional(),
    extraTimingDeg: number.optional(),
    formFactor2: number.optional(),
    inductanceH: number.optional(),
    noLoadSpeedShare: number.optional(),
    noLoadRpm: number.optional(),
    noLoadRisePerDegree: number.optional(),
    magnetPerKelvin: number.optional(),
    startTemperatureC: number.optional(),
    thermal: z
      .strictObject({
        windingToCanKPerW: number,
        canToAmbientKPerW: number,
        windingTimeConstantS: number,
        canTimeConstantS: number,
        copperCoefficient: number.optional(),
      })
      .optional(),
  }),
  controller: z
    .strictObject({
      resistanceOhm: number.optional(),
      currentLimitA: number.optional(),
      brakeReturnShare: number.optional(),
      driveFrequencyHz: number.optional(),
      freewheelV: number.optional(),
      boost: z.union([boost, z.literal(0), z.null()]).optional(),
      turbo: z.union([turbo, z.literal(0), z.null()]).optional(),
      cutoffVoltsPerCell: number.optional(),
      trigger: z
        .strictObject({
          throttleEndPoint: number.optional(),
          brakeEndPoint: number.optional(),
          expo: number.optional(),
          neutralDeadband: number.optional(),
          softening: number.optional(),
          softeningRange: number.optional(),
          punchLimitPerS: number.optional(),
          dragBrake: number.optional(),
          brakeForce: number.optional(),
        })
        .optional(),
    })
    .optional(),
  pack: packSchema,
  accessoryCurrentA: number.optional(),
  advanceGainPerDegree: number.optional(),
  ambientC: number.optional(),
}) satisfies z.ZodType<Car>

export const trackSchema = z.strictObject({
  name: z.string().optional(),
  roughnessM: number.optional(),
  jumpReturnedShare: number.optional(),
  segments: z
    .array(
      z.discriminatedUnion('kind', [
        z.strictObject({
          kind: z.literal('straight'),
          name: z.string().optional(),
          lengthM: number,
          grip: number.optional(),
          rough: number.optional(),
          jumpM: number.optional(),
        }),
        z.strictObject({
          kind: z.literal('corner'),
          name: z.string().optional(),
          radiusM: number,
          arcDeg: number,
          grip: number.optional(),
          rough: number.optional(),
          measuredSpeedMps: number.optional(),
        }),
      ]),
    )
    .min(1),
}) satisfies z.ZodType<Track>

export const straightSchema = z.strictObject({
  lengthM: number,
  entrySpeedMps: number,
  grip: number.optional(),
})

export const gearChoiceSchema = z.strictObject({
  pinions: z.array(number).min(1).max(100),
  spurs: z.array(number).min(1).max(100),
  moduleMm: number.optional(),
  slot: z.strictObject({ minCentreMm: number, maxCentreMm: number }).optional(),
})
