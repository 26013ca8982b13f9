import { brakeEnergy } from './brake-energy'
import { brakingSpeed2, brakingSpeed2Integral, brakingTime } from './braking'
import type { SegmentRun, TracePoint } from './drive-result'
import { slot } from './ledger'
import type { PreparedCar } from './prepared-car'
import type { RunState } from './run-state'
import type { SegmentTask } from './segment-task'

const tracePoints = 8

/**
 * From the braking point to the segment's end, in closed form. Lifts: turbo is gone. The brakes take what the kinetic energy of all that moves loses
 * beyond drag and rolling; where it goes is `brakeEnergy`.
 */
export function brakeToExit(
  car: PreparedCar,
  task: SegmentTask,
  run: SegmentRun,
  state: RunState,
  fromM: number,
  restVolts: number,
  trace?: { points: TracePoint[]; timeS: number; fromM: number },
): void {
  const law = task.braking
  const distance = Math.max(0, task.lengthM - fromM)
  const v0 = state.speedMps
  const v1 = Math.min(v0, task.exitSpeedLimitMps)
  const seconds = brakingTime(law, v0, v1)
  const speed2 = brakingSpeed2Integral(law, v0, v1, distance)
  const dragJ = car.dragPerSpeed2 * speed2
  const rollingJ = car.rollingN * distance
  const brakeJ = (car.inertiaKg * (v0 * v0 - v1 * v1)) / 2 - dragJ - rollingJ
  const ohm = car.windingOhm * Math.max(0.1, 1 + car.copperCoefficient * (state.windingC - 25))
  const heat = brakeEnergy(car, {
    brakeJ,
    meanForceN: Math.max(0, brakeJ) / Math.max(distance, 1e-12),
    seconds,
    windingOhm: ohm,
  })

  // The pack feeds the accessories and takes what comes back, at the mean of both over the braking: U I = P, U = rest - I R.
  const backW = seconds > 0 ? heat.returnedJ / seconds : 0
  const discriminant = restVolts * restVolts + 4 * car.packOhm * backW
  const backA = backW > 0 ? (2 * backW) / (restVolts + Math.sqrt(discriminant)) : 0
  const netA = car.accessoryA - backA
  const packVoltageV = restVolts - netA * car.packOhm

  if (trace) {
    for (let i = 1; i <= tracePoints; i++) {
      const x = (distance * i) / tracePoints
      const v = i === tracePoints ? v1 : Math.sqrt(brakingSpeed2(law, v1 * v1, distance - x))
      trace.points.push({
        timeS: trace.timeS + run.timeS + brakingTime(law, v0, Math.min(v, v0)),
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
  add(slot.packJ, restVolts * netA * seconds)
  add(slot.packLossJ, car.packOhm * netA * netA * seconds)
  add(slot.accessoryJ, packVoltageV * car.accessoryA * seconds)
  const taken = packVoltageV * backA * seconds
  add(slot.dragJ, dragJ)
  add(slot.rollingJ, rollingJ)
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
