import type { BoardView, Setting } from '../board'
import { refuse, type Refusal } from '../core/result'
import { finalDrive, isAbsent, RangeProblem, rollout, simulateStraight, type Car } from '../setup-math'
import { cardRows } from './card-rows'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'
import type { RunInfo } from './runs'

/** What a card's drive does, from what is assigned (else fitted). Null where the card or the kit lacks an input. */
export interface Drivetrain {
  finalDrive: number | null
  rolloutMm: number | null
  topSpeed: { mps: number; plusMinusMps: number } | null
  /** What gearing lacks, in words. */
  missing: string
  /** What the top speed lacks. */
  speedMissing: string
  /** A value that can't be, as the setup-math refused it. */
  refusal: Refusal | null
}

/** Common practice, no source: middle of what 1/10 off-road cars have, used where the kit says nothing. */
const USUAL = {
  massKg: 1.6,
  dragAreaM2: 0.02,
  rolling: 0.03,
  efficiency: 0.86,
  wheelbaseM: 0.28,
  cgHeightM: 0.045,
  frontShare: 0.4,
}
/** One standard deviation of an input, as a share. Common practice, no source. */
const SPREAD = { kv: 0.03, dragArea: 0.2, efficiency: 0.03 }
/** Half width of a 90 % interval, in standard deviations of a normal law. */
const Z90 = 1.645
/** Long enough that the end speed is the top speed, short enough that the pack stays full. */
const ENDLESS_M = 250

export function drivetrainOf(view: BoardView, carId: string, run?: RunInfo): Drivetrain {
  const car = view.cars.get(carId)
  const values = new Map(cardRows(view, carId).map((r) => [r.parameter.id, r.assigned ?? r.fitted]))
  const pinion = numberOf(values.get('pinion'))
  const spur = numberOf(values.get('spur'))
  const ratio = car?.internalRatio ?? null
  const set = view.tireSets.get(run?.run?.tireSetId?.v)
  const tire = numberOf(values.get('tireDiameter')) ?? set?.diameterMm ?? null
  const lacks = [
    pinion === null && 'pinion',
    spur === null && 'spur',
    ratio === null && 'internal ratio of the car',
    tire === null && 'tire diameter',
  ].filter(Boolean)
  const out: Drivetrain = {
    finalDrive: null,
    rolloutMm: null,
    topSpeed: null,
    missing: lacks.length ? `needs ${lacks.join(', ')}` : '',
    speedMissing: '',
    refusal: null,
  }
  if (pinion === null || spur === null || ratio === null) return { ...out, speedMissing: out.missing }
  try {
    out.finalDrive = finalDrive({ pinion, spur, internalRatio: ratio })
    if (tire === null) return { ...out, speedMissing: out.missing }
    out.rolloutMm = rollout({ tireDiameterMm: tire, finalDrive: out.finalDrive })
    const model = modelOf(view, carId, run, { pinion, spur, ratio, tire })
    if ('lacks' in model) return { ...out, speedMissing: `needs ${model.lacks.join(', ')}` }
    const mps = topSpeed(model.car)
    if (mps === null) return { ...out, speedMissing: 'the car does not get going with these values' }
    const moved = (change: Partial<Car>) => (topSpeed({ ...model.car, ...change }) ?? mps) - mps
    const { motor, dragAreaM2 = 0, driveEfficiency } = model.car
    const shifts = [
      moved({ motor: { ...motor, kvRpmPerVolt: motor.kvRpmPerVolt * (1 + SPREAD.kv) } }),
      moved({ dragAreaM2: dragAreaM2 * (1 + SPREAD.dragArea) }),
      moved({ driveEfficiency: Math.min(1, driveEfficiency * (1 + SPREAD.efficiency)) }),
    ]
    out.topSpeed = { mps, plusMinusMps: Z90 * Math.hypot(...shifts) }
    return out
  } catch (error) {
    if (!(error instanceof RangeProblem)) throw error
    return {
      ...out,
      refusal: refuse(error.field, error.value, 'can’t be', `Allowed is ${error.range}.`).error,
    }
  }
}

const numberOf = (v: Setting | null | undefined): number | null => (typeof v === 'number' ? v : null)

function topSpeed(car: Car): number | null {
  const straight = simulateStraight(car, { lengthM: ENDLESS_M, entrySpeedMps: 3, grip: 1 })
  return isAbsent(straight) ? null : straight.exitSpeedMps
}

function modelOf(
  view: BoardView,
  carId: string,
  run: RunInfo | undefined,
  gearing: { pinion: number; spur: number; ratio: number; tire: number },
): { car: Car } | { lacks: string[] } {
  const car = view.cars.get(carId)
  const motor = view.motors.get(car?.motorId)
  const control = view.controllers.get(car?.controllerId)
  const pack =
    view.packs.get(run?.run?.packId?.v) ??
    view.packs.live.find((p) => p.cells === (run?.raceClass?.cells ?? 2))
  const lacks = [
    motor?.kvRpmPerVolt === undefined && 'Kv of the motor',
    motor?.resistanceMilliohm === undefined && 'resistance of the motor',
    !pack && 'a pack',
  ].filter((x) => x !== false)
  if (!motor?.kvRpmPerVolt || !motor.resistanceMilliohm || !pack) return { lacks }
  return {
    car: {
      massKg: (car?.weightG ?? USUAL.massKg * 1000) / 1000,
      driven: car?.drive ?? '4wd',
      frontStaticShare: (car?.frontSharePercent ?? USUAL.frontShare * 100) / 100,
      wheelbaseM: (car?.wheelbaseMm ?? USUAL.wheelbaseM * 1000) / 1000,
      cgHeightM: (car?.cgHeightMm ?? USUAL.cgHeightM * 1000) / 1000,
      tireDiameterMm: gearing.tire,
      grip: 1,
      rollingCoefficient: car?.rollingCoefficient ?? USUAL.rolling,
      dragAreaM2: car?.dragAreaM2 ?? USUAL.dragAreaM2,
      airDensityKgM3: 1.2,
      pinion: gearing.pinion,
      spur: gearing.spur,
      internalRatio: gearing.ratio,
      driveEfficiency: car?.driveEfficiency ?? USUAL.efficiency,
      wheelInertiaKgM2: car?.wheelInertiaKgM2 ?? 0,
      motor: {
        kvRpmPerVolt: motor.kvRpmPerVolt,
        resistanceOhm: motor.resistanceMilliohm / 1000,
        noLoadCurrentA: motor.noLoadCurrentA ?? 0,
        rotorInertiaKgM2: (motor.rotorInertiaGCm2 ?? 0) * 1e-7,
      },
      controller: {
        resistanceOhm: (control?.resistanceMilliohm ?? 0) / 1000,
        currentLimitA: control?.currentLimitA ?? 0,
      },
      pack: {
        cells: pack.cells ?? 2,
        capacityAh: (pack.capacityMah ?? 5000) / 1000,
        resistanceOhm: (pack.resistanceMilliohm ?? 0) / 1000,
        stateOfCharge: 1,
        restVoltageTable: POUCH_REST_VOLTAGE,
      },
    },
  }
}
