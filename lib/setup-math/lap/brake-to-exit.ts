import { brakingSpeed2, brakingSpeed2Integral, brakingTime } from './braking'
import type { SegmentRun, TracePoint } from './drive-result'
import { slot } from './ledger'
import type { PreparedCar } from './prepared-car'
import type { RunState } from './run-state'
import type { SegmentTask } from './segment-task'

const tracePoints = 8

/**
 * From the braking point to the segment's end, in closed form. Lifts: turbo is gone. The motor is the brake of an electric car, so
 * its winding heats by the current that the brake force asks of it; current fed back to the pack is not counted (some controllers
 * feed back, none says how much), which errs on the side of an emptier pack.
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
  const packVoltageV = restVolts - car.accessoryA * car.packOhm
  const corner2 = task.cornerSpeedMps ** -2
  const fullBrakeN = task.mu * car.brakeShare * car.weightN
  const brakeJ = fullBrakeN * (distance - speed2 * corner2)

  if (trace) {
    for (let i = 1; i <= tracePoints; i++) {
      const x = (distance * i) / tracePoints
      const v = i === tracePoints ? v1 : Math.sqrt(brakingSpeed2(law, v1 * v1, distance - x))
      trace.points.push({
        timeS: trace.timeS + run.timeS + brakingTime(law, v0, Math.min(v, v0)),
        distanceM: trace.fromM + fromM + x,
        speedMps: v,
        motorCurrentA: 0,
        batteryCurrentA: car.accessoryA,
        packVoltageV,
        timingDeg: 0,
        motorRpm: (v * car.motorPerSpeed * 30) / Math.PI,
        limit: 'braking',
      })
    }
  }
  if (car.thermal && seconds > 0) {
    const th = car.thermal
    const brakeA =
      ((brakeJ / Math.max(distance, 1e-12)) * car.efficiency) / (car.ktNmPerA * car.motorPerSpeed)
    const ohm = car.windingOhm * Math.max(0.1, 1 + car.copperCoefficient * (state.windingC - 25))
    const flow = (state.windingC - state.canC) / th.toCan
    const iron = (car.ktNmPerA * car.noLoadA * car.motorPerSpeed * distance) / seconds
    run.brakeHeatJ = brakeA ** 2 * ohm * seconds
    state.windingC += ((brakeA ** 2 * ohm - flow) * seconds) / th.windingJPerK
    state.canC += ((iron + flow - (state.canC - car.ambientC) / th.toAmbient) * seconds) / th.canJPerK
  }
  const sums = state.sums
  const drawn = car.accessoryA * seconds
  const add = (i: number, joules: number) => {
    sums[i] = (sums[i] as number) + joules
  }
  add(slot.packJ, restVolts * drawn)
  add(slot.packLossJ, car.accessoryA * car.packOhm * drawn)
  add(slot.accessoryJ, packVoltageV * drawn)
  add(slot.dragJ, car.dragPerSpeed2 * speed2)
  add(slot.rollingJ, car.rollingN * distance)
  add(slot.brakeJ, brakeJ)
  if (packVoltageV < run.minPackVoltageV) run.minPackVoltageV = packVoltageV
  state.drawnC += drawn
  state.heldS = 0
  state.speedMps = v1
  run.timeS += seconds
}
