import { checkNumber, checkObject, checkOptional } from '../check-number'
import { copperPerKelvin, g } from '../constants'
import { checkBoost } from '../controller/boost'
import { checkTurbo } from '../controller/turbo'
import { finalDrive } from '../gearing/final-drive'
import { limits } from '../limits'
import { checkMotor } from '../motor/motor-curve'
import { usualAdvanceGainPerDegree } from '../motor/timing'
import { torqueConstant } from '../motor/torque-constant'
import { checkPack, type CheckedPack } from '../pack/pack'
import { RangeProblem } from '../range-problem'
import { slipBend } from '../losses/slip'
import { resistanceAtTemperature, warmEnoughC } from '../pack/resistance-at-temperature'
import type { SlowSag } from '../pack/slow-sag'
import type { Car, CarMotor } from './car'

/** A car checked and boiled down to the numbers of the equations of motion. */
export interface PreparedCar {
  readonly car: Car
  readonly finalDrive: number
  readonly massKg: number
  /** m + (Jm FDR^2 + 4 Jw)/r^2: what the motor's force must accelerate. Turning parts load no tire and roll on no extra weight. */
  readonly inertiaKg: number
  /** m + Jw/r^2 of the wheels that the motor does not turn: what the contact force must accelerate while the tire is the limit. */
  readonly contactKg: number
  /** Motor rad/s per m/s of the car. */
  readonly motorPerSpeed: number
  readonly efficiency: number
  readonly ktNmPerA: number
  readonly gainPerDegree: number
  readonly extraTimingDeg: number
  readonly windingOhm: number
  readonly copperCoefficient: number
  readonly controllerOhm: number
  readonly packOhm: number
  readonly noLoadA: number
  readonly limitA: number
  readonly accessoryA: number
  readonly weightN: number
  /** Load on the driven wheels at rest, N. */
  readonly drivenLoadN: number
  /** Load moved onto the driven wheels per m/s² of acceleration, kg: m h / L, 0 with four driven wheels. */
  readonly transferKg: number
  readonly brakeShare: number
  readonly brakeReturnShare: number
  readonly exitTriggerShare: number
  /** Rolling coefficient at rest and per m/s; rho C_l A / 2. */
  readonly rolling: number
  readonly rollingPerSpeed: number
  readonly liftPerSpeed2: number
  /** Share of the lift on the driven wheels. */
  readonly drivenShare: number
  /** Slip law k0 u / (1 - w u), 0 without slip; angle at the tire's lateral peak, rad. */
  readonly slipInitial: number
  readonly slipBend: number
  readonly peakAngleRad: number
  readonly tireRateNPerM: number
  readonly drivelineN: number
  readonly formFactor2: number
  /** 1 / (L f), 0 where the chopper's ripple is not known. */
  readonly perHenryHertz: number
  readonly freewheelV: number
  /** Loss torque as read, Nm, its share that goes with speed, rad/s at which it was read, and its rise per degree. */
  readonly idleNm: number
  readonly idleSpeedShare: number
  readonly idleReadRadS: number
  readonly idleRisePerDegree: number
  readonly magnetPerKelvin: number
  readonly slowSag: readonly SlowSag[]
  /** Whole pack's ohmic resistance at a temperature. */
  readonly packOhmAt: (packC: number) => number
  readonly packStartC: number
  readonly packJPerK: number
  /** rho CdA / 2, N per (m/s)². */
  readonly dragPerSpeed2: number
  readonly boost?: { degrees: number; startRpm: number; endRpm: number }
  readonly turbo?: { degrees: number; delayS: number; rampDegPerS: number }
  readonly cells: number
  readonly coulombs: number
  readonly socTable: Float64Array
  readonly voltTable: Float64Array
  readonly startSoc: number
  readonly cutoffV: number
  readonly ambientC: number
  readonly startC: number
  readonly thermal?: { toCan: number; toAmbient: number; windingJPerK: number; canJPerK: number }
}

const absentOrZero = <T extends object>(x: T | 0 | null | undefined): T | undefined => (x ? x : undefined)

/** @throws RangeProblem naming the first field at fault */
export function prepareCar(car: Car): PreparedCar {
  checkObject('car', car)
  // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- cars come as JSON too
  if (car.driven !== '2wd' && car.driven !== '4wd') throw new RangeProblem('driven', car.driven, '2wd or 4wd')
  const fdr = finalDrive(car)
  const radius = checkNumber('tireDiameterMm', car.tireDiameterMm, limits.tireDiameterMm) / 2000
  const massKg = checkNumber('massKg', car.massKg, limits.mass)
  const front = checkNumber('frontStaticShare', car.frontStaticShare, limits.openShare)
  const wheelbase = checkNumber('wheelbaseM', car.wheelbaseM, { min: 0.01, max: 100, unit: 'm' })
  const height = checkNumber('cgHeightM', car.cgHeightM, limits.height)
  const grip = checkNumber('grip', car.grip, limits.grip)
  const fourWheel = car.driven === '4wd'
  const motor = checkMotor(car.motor) as CarMotor
  const controller = checkObject('controller', car.controller ?? {})
  const pack = checkPack(car.pack)
  const rotor = checkOptional('motor.rotorInertiaKgM2', motor.rotorInertiaKgM2, limits.inertia, 0)
  const wheel = checkOptional('wheelInertiaKgM2', car.wheelInertiaKgM2, limits.inertia, 0)
  const density = checkOptional('airDensityKgM3', car.airDensityKgM3, limits.airDensity, 1.2)
  const limitA = controller.currentLimitA
  const ambientC = checkOptional('ambientC', car.ambientC, { min: -30, max: 70, unit: '°C' }, 25)
  const boost = absentOrZero(controller.boost)
  const turbo = absentOrZero(controller.turbo)
  const gain = checkOptional(
    'advanceGainPerDegree',
    car.advanceGainPerDegree,
    limits.gainPerDegree,
    usualAdvanceGainPerDegree,
  )
  const extra = checkOptional(
    'motor.extraTimingDeg',
    motor.extraTimingDeg,
    { min: -60, max: 60, unit: 'degrees' },
    0,
  )
  if (1 + gain * extra <= 0.1)
    throw new RangeProblem('motor.extraTimingDeg', extra, 'a timing that leaves the motor its speed')
  const mhL = (massKg * height) / wheelbase
  return {
    car,
    finalDrive: fdr,
    massKg,
    inertiaKg: massKg + (rotor * fdr ** 2 + 4 * wheel) / radius ** 2,
    contactKg: massKg + (fourWheel ? 0 : (2 * wheel) / radius ** 2),
    motorPerSpeed: fdr / radius,
    efficiency: checkNumber('driveEfficiency', car.driveEfficiency, { min: 0, max: 1, above: true }),
    ktNmPerA: torqueConstant(motor.kvRpmPerVolt),
    gainPerDegree: gain,
    extraTimingDeg: extra,
    windingOhm: motor.resistanceOhm,
    copperCoefficient: checkOptional(
      'motor.thermal.copperCoefficient',
      motor.thermal?.copperCoefficient,
      limits.temperatureCoefficient,
      copperPerKelvin,
    ),
    controllerOhm: checkOptional('controller.resistanceOhm', controller.resistanceOhm, limits.resistance, 0),
    packOhm: packOf(pack).packOhmAt(pack.temperatureC ?? warmEnoughC),
    noLoadA: motor.noLoadCurrentA,
    limitA:
      !limitA || limitA === Infinity
        ? Infinity
        : checkNumber('controller.currentLimitA', limitA, limits.current),
    accessoryA: checkOptional('accessoryCurrentA', car.accessoryCurrentA, limits.current, 0),
    weightN: massKg * g,
    drivenLoadN: massKg * g * (fourWheel ? 1 : 1 - front),
    transferKg: fourWheel ? 0 : mhL,
    brakeShare: checkOptional(
      'brakeShare',
      car.brakeShare,
      { min: 0, max: 1, above: true },
      // Braking unloads the rear axle that does it: F = mu (m g (1 - f) - F h/L), Gillespie ch. 1 with the sign of braking.
      fourWheel ? 1 : Math.max(0.05, (1 - front) / (1 + (grip * height) / wheelbase)),
    ),
    brakeReturnShare: checkOptional(
      'controller.brakeReturnShare',
      controller.brakeReturnShare,
      limits.share,
      0,
    ),
    ...lossesOf(car, { gain, radius, density, drivenShare: fourWheel ? 1 : 1 - front }),
    ...packOf(pack),
    exitTriggerShare: checkOptional('exitTriggerShare', car.exitTriggerShare, limits.share, 1),
    dragPerSpeed2: (density * checkOptional('dragAreaM2', car.dragAreaM2, limits.dragArea, 0)) / 2,
    ...(boost && checkBoost(boost).degrees > 0 && { boost }),
    ...(turbo && checkTurbo(turbo).degrees > 0 && { turbo }),
    cells: pack.cells,
    coulombs: pack.capacityAh * 3600,
    socTable: Float64Array.from(pack.restVoltageTable, (row) => row[0]),
    voltTable: Float64Array.from(pack.restVoltageTable, (row) => row[1]),
    startSoc: pack.stateOfCharge,
    cutoffV:
      pack.cells *
      checkOptional('controller.cutoffVoltsPerCell', controller.cutoffVoltsPerCell, limits.cellVoltage, 0),
    ambientC,
    startC: checkOptional(
      'motor.startTemperatureC',
      motor.startTemperatureC,
      { min: -30, max: 200, unit: '°C' },
      ambientC,
    ),
    ...(motor.thermal && { thermal: thermalNodes(motor) }),
  }
}

/** The optional loss terms: absent is none. */
function lossesOf(car: Car, known: { gain: number; radius: number; density: number; drivenShare: number }) {
  const { motor, tires = {} } = car
  const controller = car.controller ?? {}
  const slip = tires.slip && {
    peak: checkNumber('tires.slip.peak', tires.slip.peak, { min: 1e-4, max: 1 }),
    initial: checkNumber('tires.slip.initial', tires.slip.initial, { min: 1e-5, max: tires.slip.peak }),
  }
  const inductance = checkOptional(
    'motor.inductanceH',
    motor.inductanceH,
    { min: 1e-8, max: 1, unit: 'H' },
    1,
  )
  const frequency = checkOptional(
    'controller.driveFrequencyHz',
    controller.driveFrequencyHz,
    { min: 100, max: 1e6, unit: 'Hz' },
    1,
  )
  const kt = torqueConstant(motor.kvRpmPerVolt)
  return {
    rolling: checkOptional('rollingCoefficient', car.rollingCoefficient, limits.rolling, 0),
    rollingPerSpeed: checkOptional(
      'rollingPerSpeed',
      car.rollingPerSpeed,
      { min: 0, max: 0.1, unit: 's/m' },
      0,
    ),
    liftPerSpeed2: (known.density * checkOptional('liftAreaM2', car.liftAreaM2, limits.dragArea, 0)) / 2,
    drivenShare: known.drivenShare,
    slipInitial: slip?.initial ?? 0,
    slipBend: slip ? slipBend(slip) : slipBend({ initial: 0.4, peak: 1 }),
    peakAngleRad:
      (checkOptional('tires.peakAngleDeg', tires.peakAngleDeg, { min: 0, max: 45, unit: 'degrees' }, 0) *
        Math.PI) /
      180,
    tireRateNPerM: checkOptional('tires.rateNPerM', tires.rateNPerM, { min: 0, max: 1e7, unit: 'N/m' }, 0),
    drivelineN:
      checkOptional('drivelineTorqueNm', car.drivelineTorqueNm, { min: 0, max: 100, unit: 'Nm' }, 0) /
      known.radius,
    formFactor2: checkOptional('motor.formFactor2', motor.formFactor2, { min: 1, max: 3 }, 1),
    perHenryHertz: motor.inductanceH && controller.driveFrequencyHz ? 1 / (inductance * frequency) : 0,
    freewheelV: checkOptional(
      'controller.freewheelV',
      controller.freewheelV,
      { min: 0, max: 5, unit: 'V' },
      0,
    ),
    idleNm: kt * motor.noLoadCurrentA,
    idleSpeedShare: checkOptional('motor.noLoadSpeedShare', motor.noLoadSpeedShare, limits.share, 0),
    idleReadRadS: motor.noLoadRpm
      ? (checkNumber('motor.noLoadRpm', motor.noLoadRpm, limits.rpm) * Math.PI) / 30
      : 7.4 / kt,
    idleRisePerDegree: checkOptional(
      'motor.noLoadRisePerDegree',
      motor.noLoadRisePerDegree,
      limits.gainPerDegree,
      known.gain,
    ),
    magnetPerKelvin: checkOptional(
      'motor.magnetPerKelvin',
      motor.magnetPerKelvin,
      { min: -0.01, max: 0.01 },
      0,
    ),
  }
}

function packOf(pack: CheckedPack) {
  const { resistanceOhm, temperatureC, resistanceReadAtC, heatCapacityJPerK } = pack
  const knows = temperatureC !== undefined && resistanceReadAtC !== undefined
  return {
    slowSag: pack.slowSag ?? [],
    packStartC: temperatureC ?? warmEnoughC,
    packJPerK: heatCapacityJPerK ?? Infinity,
    packOhmAt: (packC: number): number =>
      knows
        ? resistanceAtTemperature({
            resistanceOhm,
            measuredAtC: resistanceReadAtC,
            temperatureC: packC,
          })
        : resistanceOhm,
  }
}

function thermalNodes({ thermal }: CarMotor): PreparedCar['thermal'] {
  if (!thermal) return undefined
  const toCan = checkNumber(
    'motor.thermal.windingToCanKPerW',
    thermal.windingToCanKPerW,
    limits.thermalResistance,
  )
  const toAmbient = checkNumber(
    'motor.thermal.canToAmbientKPerW',
    thermal.canToAmbientKPerW,
    limits.thermalResistance,
  )
  const tw = checkNumber('motor.thermal.windingTimeConstantS', thermal.windingTimeConstantS, {
    ...limits.openSeconds,
    min: 0.1,
  })
  const tc = checkNumber('motor.thermal.canTimeConstantS', thermal.canTimeConstantS, {
    ...limits.openSeconds,
    min: 0.1,
  })
  return { toCan, toAmbient, windingJPerK: tw / toCan, canJPerK: tc / toAmbient }
}
