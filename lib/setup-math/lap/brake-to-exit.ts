import { brakeEnergy } from './brake-energy'
import { gaussPoints } from './braking-curve'
import type { SegmentRun, TracePoint } from './drive-result'
import { slot } from './ledger'
import type { PreparedCar } from './prepared-car'
import { noResistance, resistanceAt } from './resistance'
import type { RunState } from './run-state'
import type { SegmentTask } from './segment-task'

const tracePoints = 8
const parts = 6

/** What resistance takes over the way left, J, by cause: Gauss and Legendre along the braking curve. */
function resistedJ(car: PreparedCar, task: SegmentTask, distance: number) {
  const sums = noResistance()
  const now = noResistance()
  for (let k = 0; k < parts; k++)
    for (const [at, weight] of gaussPoints) {
      const v2 = task.braking.speed2(((k + at) * distance) / parts)
      resistanceAt(car, task, Math.sqrt(Math.max(0, v2)), now)
      const share = (weight * distance) / parts
      sums.drag += share * now.drag
      sums.rolling += share * now.rolling
      sums.cornering += share * now.cornering
      sums.bumps += share * now.bumps
      sums.jump += share * now.jump
    }
  return sums
}

/**
 * From the braking point to the segment's end along the braking curve. Lifts: turbo is gone. The brakes take what the kinetic energy of all that moves loses
 * beyond the resistances; where it goes is `brakeEnergy`.
 */
export function brakeToExit(
  car: PreparedCar,
  task: SegmentTask,
  run: SegmentRun,
  state: RunState,
  fromM: number,
  /** The cells' own voltage, and the pack's slow sag and resistance now. */
  cells: { volts: number; slowV: number; packOhm: number },
  trace?: { points: TracePoint[]; timeS: number; fromM: number },
): void {
  const curve = task.braking
  const distance = Math.max(0, task.lengthM - fromM)
  const v0 = state.speedMps
  const v1 = Math.min(v0, task.exitSpeedLimitMps)
  const seconds = curve.seconds(distance, v0)
  const by = resistedJ(car, task, distance)
  const brakeJ =
    (car.inertiaKg * (v0 * v0 - v1 * v1)) / 2 - by.drag - by.rolling - by.cornering - by.bumps - by.jump
  const ohm =
    car.windingOhm * Math.max(0.1, 1 + car.copperCoefficient * (state.windingC - 25)) * car.formFactor2
  const heat = brakeEnergy(car, {
    brakeJ,
    meanForceN: Math.max(0, brakeJ) / Math.max(distance, 1e-12),
    seconds,
    windingOhm: ohm,
  })

  // The pack feeds the accessories and takes what comes back, at the mean of both over the braking: U I = P, U = rest - I R.
  const { packOhm } = cells
  const restVolts = cells.volts - cells.slowV
  const backW = seconds > 0 ? heat.returnedJ / seconds : 0
  const discriminant = restVolts * restVolts + 4 * packOhm * backW
  const backA = backW > 0 ? (2 * backW) / (restVolts + Math.sqrt(discriminant)) : 0
  const netA = car.accessoryA - backA
  const packVoltageV = restVolts - netA * packOhm

  if (trace) {
    for (let i = 1; i <= tracePoints; i++) {
      const x = (distance * i) / tracePoints
      const v = i === tracePoints ? v1 : Math.sqrt(curve.speed2(distance - x))
      trace.points.push({
        timeS: trace.timeS + run.timeS + (seconds - (i === tracePoints ? 0 : curve.seconds(distance - x, v))),
        distanceM: trace.fromM + fromM + x,
        speedMps: v,
        motorCurrentA: 0,
        batteryCurrentA: netA,
        packVoltageV,
        timingDeg: 0,
        motorRpm: (v * car.motorPerSpeed * 30) / Math.PI,
        limit: 'braking',
      })
    }
  }
  if (car.thermal && seconds > 0) {
    const th = car.thermal
    const flow = (state.windingC - state.canC) / th.toCan
    run.brakeHeatJ = heat.windingJ + heat.canJ
    state.windingC += (heat.windingJ - flow * seconds) / th.windingJPerK
    const out = flow - (state.canC - car.ambientC) / th.toAmbient
    state.canC += (heat.canJ + out * seconds) / th.canJPerK
  }
  const sums = state.sums
  const add = (i: number, joules: number) => {
    sums[i] = (sums[i] as number) + joules
  }
  // Delivered at the terminals: accessories less what came back; the difference to the cells' own is lost in the pack.
  add(slot.packJ, cells.volts * netA * seconds)
  add(slot.packLossJ, (cells.slowV + packOhm * netA) * netA * seconds)
  add(slot.accessoryJ, packVoltageV * car.accessoryA * seconds)
  const taken = packVoltageV * backA * seconds
  add(slot.dragJ, by.drag)
  add(slot.rollingJ, by.rolling)
  add(slot.corneringJ, by.cornering)
  add(slot.bumpsJ, by.bumps)
  add(slot.jumpsJ, by.jump)
  add(slot.driveLossJ, heat.driveLossJ)
  add(slot.brakeWindingJ, heat.windingJ)
  // The terminal voltage differs a little with and without the accessories' load: the controller takes up the difference.
  add(slot.brakeControllerJ, heat.controllerJ + heat.returnedJ - taken)
  add(slot.brakeCanJ, heat.canJ)
  state.returnedJ += taken
  if (packVoltageV < run.minPackVoltageV) run.minPackVoltageV = packVoltageV
  state.drawnC += netA * seconds
  state.heldS = 0
  state.speedMps = v1
  run.timeS += seconds
}
