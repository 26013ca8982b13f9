import type { TrackSegment } from '../../board'
import { initialOfPeak, lossPriors, type Car, type Track } from '../../setup-math'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'
import type { ProjectionBasis } from './projections-basis'
import type { InputId, InputValues } from './projections-inputs'

export const valuesOf = (basis: Pick<ProjectionBasis, 'inputs'>): InputValues =>
  Object.fromEntries(basis.inputs.map((i) => [i.id, i.value]))

/** Specific gas constant of dry air, J/(kg K), and standard pressure, Pa: ICAO standard atmosphere. */
const AIR_GAS_CONSTANT = 287.05
const STANDARD_PRESSURE = 101_325

/** 30 g of copper at 0.385 J/(g K); the mass is an estimate, no source. The finish hardly feels it. */
const WINDING_J_PER_K = 12

/** Stands in for the tires' vertical rate, N/m: only its product with the roughness counts, which is the input `bumpsN`. */
const TIRE_RATE = 2500

/** The inputs, in the units in which a team reads them, as the SI car of setup-math. Nonsense passes through: setup-math names it. */
export function carOf(basis: Pick<ProjectionBasis, 'driven' | 'trigger'>, v: InputValues): Car {
  const n = (id: InputId): number => v[id] ?? Number.NaN
  const turbo = v.turboDeg && {
    degrees: v.turboDeg,
    delayS: v.turboDelayS ?? 0,
    rampDegPerS: v.turboRampDegPerS ?? 100,
  }
  const boost = v.boostDeg && {
    degrees: v.boostDeg,
    startRpm: v.boostStartRpm ?? 0,
    endRpm: v.boostEndRpm ?? 30_000,
  }
  return {
    massKg: n('massG') / 1000,
    driven: basis.driven,
    frontStaticShare: n('frontSharePercent') / 100,
    wheelbaseM: n('wheelbaseMm') / 1000,
    cgHeightM: n('cgHeightMm') / 1000,
    tireDiameterMm: n('tireDiameterMm'),
    grip: n('grip'),
    rollingCoefficient: n('rolling'),
    rollingPerSpeed: v.rollingPerSpeed ?? 0,
    tires: {
      ...(v.peakSlipPercent && {
        slip: { initial: (initialOfPeak * v.peakSlipPercent) / 100, peak: v.peakSlipPercent / 100 },
      }),
      peakAngleDeg: v.peakAngleDeg ?? 0,
      rateNPerM: v.bumpsN ? TIRE_RATE : 0,
    },
    drivelineTorqueNm: (v.drivelineMNm ?? 0) / 1000,
    liftAreaM2: (v.liftAreaCm2 ?? 0) / 10_000,
    dragAreaM2: n('dragAreaM2'),
    airDensityKgM3: STANDARD_PRESSURE / (AIR_GAS_CONSTANT * (n('airC') + 273.15)),
    pinion: n('pinion'),
    spur: n('spur'),
    internalRatio: n('internalRatio'),
    driveEfficiency: n('efficiency'),
    wheelInertiaKgM2: n('wheelInertiaGM2') / 1000,
    motor: {
      kvRpmPerVolt: n('kv'),
      resistanceOhm: n('motorMilliohm') / 1000,
      noLoadCurrentA: n('noLoadA'),
      rotorInertiaKgM2: n('rotorGCm2') * 1e-7,
      formFactor2: v.rippleFactor ?? 1,
      // In proportion to the square of the turns, so to 1 / Kv².
      inductanceH: lossPriors.inductanceH[0] * (3000 / n('kv')) ** 2,
      noLoadSpeedShare: (v.noLoadSpeedPercent ?? 0) / 100,
      ...(v.noLoadRise !== undefined && { noLoadRisePerDegree: v.noLoadRise / 100 }),
      magnetPerKelvin: lossPriors.magnetPerKelvin[0],
      extraTimingDeg:
        v.motorTimingDeg === undefined ? 0 : v.motorTimingDeg - (v.kvTimingDeg ?? v.motorTimingDeg),
      thermal: {
        windingToCanKPerW: n('windingToCanKPerW'),
        canToAmbientKPerW: n('canToAirKPerW'),
        windingTimeConstantS: n('windingToCanKPerW') * WINDING_J_PER_K,
        // Heat capacities are the metal's: more air shortens the time constant as it lowers the resistance.
        canTimeConstantS: n('canToAirKPerW') * n('canJPerK'),
      },
    },
    controller: {
      resistanceOhm: n('controllerMilliohm') / 1000,
      ...(v.currentLimitA !== undefined && { currentLimitA: v.currentLimitA }),
      ...(turbo && { turbo }),
      ...(boost && { boost }),
      ...(v.cutoffV !== undefined && { cutoffVoltsPerCell: v.cutoffV }),
      brakeReturnShare: (v.brakeReturnPercent ?? 0) / 100,
      freewheelV: v.freewheelV ?? 0,
      driveFrequencyHz: lossPriors.driveFrequencyHz[0],
      trigger: basis.trigger,
    },
    pack: {
      cells: n('cells'),
      capacityAh: n('capacityMah') / 1000,
      resistanceOhm: (n('packMilliohm') + (v.leadsMilliohm ?? 0)) / 1000,
      stateOfCharge: n('stateOfChargePercent') / 100,
      restVoltageTable: POUCH_REST_VOLTAGE,
      slowSag: [
        { ohm: (v.slowShortMilliohm ?? 0) / 1000, seconds: lossPriors.slowShortS[0] },
        { ohm: (v.slowLongMilliohm ?? 0) / 1000, seconds: lossPriors.slowLongS[0] },
      ],
    },
    accessoryCurrentA: n('accessoryA'),
    exitTriggerShare: (v.exitTriggerPercent ?? 100) / 100,
    advanceGainPerDegree: n('advanceGain') / 100,
    ambientC: n('airC'),
  }
}

/** The kit's track as setup-math drives it, stretched by `scale` (1 = as drawn). */
export function trackOf(segments: readonly TrackSegment[], scale = 1, bumpsN = 0): Track {
  return {
    roughnessM: bumpsN / (4 * Math.PI ** 2 * TIRE_RATE),
    segments: segments.map((s) => {
      const rest = { ...(s.name !== undefined && { name: s.name }), grip: s.grip }
      if (s.kind === 'straight')
        return { kind: 'straight', lengthM: (s.lengthM ?? Number.NaN) * scale, ...rest }
      return {
        kind: 'corner',
        radiusM: (s.radiusM ?? Number.NaN) * scale,
        arcDeg: s.arcDegrees ?? Number.NaN,
        ...(s.speedMps !== undefined && { measuredSpeedMps: s.speedMps }),
        ...rest,
      }
    }),
  }
}

/** Values that an input can't pass, however uncertain it is. */
export const INPUT_BOUNDS: Partial<Record<InputId, readonly [number, number]>> = {
  efficiency: [0.3, 1],
  stateOfChargePercent: [1, 100],
  noLoadA: [0, 50],
  controllerMilliohm: [0, 50],
  leadsMilliohm: [0, 50],
  accessoryA: [0, 50],
  rollingPerSpeed: [0, 0.05],
  bumpsN: [0, 20],
  peakSlipPercent: [2, 60],
  peakAngleDeg: [0, 30],
  drivelineMNm: [0, 500],
  liftAreaCm2: [0, 2000],
  rippleFactor: [1, 2],
  noLoadSpeedPercent: [0, 100],
  noLoadRise: [0, 10],
  freewheelV: [0, 3],
  slowShortMilliohm: [0, 100],
  slowLongMilliohm: [0, 100],
  exitTriggerPercent: [0, 100],
  brakeReturnPercent: [0, 90],
  warmUpLaps: [0, 20],
  toGridLaps: [0, 5],
  afterFlagLaps: [0, 10],
  easyLapPercent: [10, 120],
  wheelInertiaGM2: [0, 10],
  dragAreaM2: [0, 1],
  advanceGain: [0, 10],
  rolling: [0, 0.5],
  packMilliohm: [0.1, 1000],
  motorMilliohm: [0.1, 10_000],
  rotorGCm2: [0.1, 1000],
  cgHeightMm: [5, 300],
  windingToCanKPerW: [0.05, 20],
  canToAirKPerW: [0.2, 50],
  canJPerK: [5, 1000],
}

/** The values with one input moved by `by`, kept where it can be at all. */
export function moved(values: InputValues, id: InputId, by: number): InputValues {
  const [min, max] = INPUT_BOUNDS[id] ?? [-Infinity, Infinity]
  return { ...values, [id]: Math.min(max, Math.max(min, (values[id] ?? 0) + by)) }
}
