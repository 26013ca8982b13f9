import type { Driver, Wish } from './driver'
import { wishOf } from './driver'
import { electricsAt, type Electrics, type ElectricState } from './electrics'
import { cellOf, type Path } from './path'
import { tireForce, type Tire, type TireForce } from './tire'

const g = 9.80665

export interface Chassis {
  massKg: number
  yawInertiaKgM2: number
  wheelbaseM: number
  /** Share of the weight in front. */
  frontShare: number
  cgHeightM: number
  driven: '2wd' | '4wd'
  tireRadiusM: number
  front: Tire
  rear: Tire
  /** Rolling resistance over weight at rest, and its rise per m/s. */
  rolling: number
  rollingPerSpeed: number
  dragAreaM2: number
  liftAreaM2: number
  airDensity: number
  /** Force of the rough ground on the whole car at roughness 1, N. */
  bumpsN: number
  finalDrive: number
  /** Gears: loss in proportion to torque, and a constant torque at the wheels, Nm. */
  gearLoss: number
  gearNm: number
  rotorKgM2: number
  wheelKgM2: number
  /** Most torque of the brake at the wheels, over mu N r. */
  brakeMost: number
  /** Time constant of the load transfer, s. */
  pitchS: number
}

export interface RefereeCar {
  chassis: Chassis
  electrics: Electrics
  driver: Driver
}

/** Slots of the state. The last are books: J given by the cells, J lost, and J lost by kind. */
export const at = {
  s: 0,
  n: 1,
  psi: 2,
  vx: 3,
  vy: 4,
  yaw: 5,
  wheel: 6,
  steer: 7,
  trigger: 8,
  drawnC: 9,
  slow1V: 10,
  slow2V: 11,
  windingC: 12,
  canC: 13,
  transfer: 14,
  cellsJ: 15,
  lostJ: 16,
} as const
export const slots = 17

/** Equations of motion along a path; one lap's own pace and lateness are set from outside. */
export class Vehicle {
  lap = { pace: 1, lateS: 0 }
  turboDeg = 0
  readonly electric: ElectricState = {
    motorA: 0,
    batteryA: 0,
    packV: 0,
    restV: 0,
    shaftNm: 0,
    copperW: 0,
    ironW: 0,
    bridgeW: 0,
    packW: 0,
    brakeRestW: 0,
  }
  /** How far the driven tires are used (1 at their peak), and the cornering's share of the grip, of the last evaluation. */
  use = 0
  turning = 0
  readonly driveInertia: number
  private readonly mass: number
  private readonly front: TireForce = { longitudinalN: 0, lateralN: 0, use: 0 }
  private readonly rear: TireForce = { longitudinalN: 0, lateralN: 0, use: 0 }
  private readonly now = {
    s: 0,
    n: 0,
    psi: 0,
    vx: 0,
    vy: 0,
    yawRate: 0,
    use: 0,
    turning: 0,
    tail: 0,
    tailPeak: 1,
  }
  private readonly wish: Wish = { trigger: 0, steer: 0 }
  private readonly understeer: number

  constructor(
    readonly car: RefereeCar,
    readonly path: Path,
    readonly plan: Float64Array,
  ) {
    const c = car.chassis
    const driven = c.driven === '4wd' ? 4 : 2
    this.driveInertia = c.rotorKgM2 * c.finalDrive ** 2 + driven * c.wheelKgM2
    // Wheels that the motor does not turn roll along.
    this.mass = c.massKg + ((4 - driven) * c.wheelKgM2) / c.tireRadiusM ** 2
    const b = (t: Tire) => (t.mu * t.shape * t.stiffness) / t.peakAngle
    this.understeer = (1 / b(c.front) - 1 / b(c.rear)) / g
  }

  kineticJ(y: Float64Array): number {
    const c = this.car.chassis
    return (
      (this.mass * (y[at.vx] as number) ** 2) / 2 +
      (c.massKg * (y[at.vy] as number) ** 2) / 2 +
      (c.yawInertiaKgM2 * (y[at.yaw] as number) ** 2) / 2 +
      (this.driveInertia * (y[at.wheel] as number) ** 2) / 2
    )
  }

  rates(y: Float64Array, out: Float64Array): void {
    const { chassis: c, electrics: e, driver } = this.car
    const path = this.path
    const cell = cellOf(path, y[at.s] as number)
    const k = path.curvature[cell] as number
    const grip = path.grip[cell] as number
    const n = y[at.n] as number
    const psi = y[at.psi] as number
    const vx = y[at.vx] as number
    const vy = y[at.vy] as number
    const yaw = y[at.yaw] as number
    const wheel = y[at.wheel] as number
    const steer = y[at.steer] as number
    const a = c.wheelbaseM * (1 - c.frontShare)
    const b = c.wheelbaseM * c.frontShare
    const loaded = path.load[cell] as number
    const down = 0.5 * c.airDensity * c.liftAreaM2 * vx * vx
    const weight = (c.massKg * g + down) * loaded
    const shift = (c.massKg * (y[at.transfer] as number) * c.cgHeightM) / c.wheelbaseM
    const loadF = Math.max(0, weight * c.frontShare - shift * loaded)
    const loadR = Math.max(0, weight * (1 - c.frontShare) + shift * loaded)
    const r = c.tireRadiusM
    const slow = 0.8
    // Front wheel's own frame.
    const cos = Math.cos(steer)
    const sin = Math.sin(steer)
    const vyF = vy + a * yaw
    const alongF = vx * cos + vyF * sin
    const acrossF = vyF * cos - vx * sin
    const fourWheel = c.driven === '4wd'
    const slipF = fourWheel ? (wheel * r - alongF) / Math.max(slow, Math.abs(alongF)) : 0
    const referenceF = c.massKg * g * c.frontShare
    const referenceR = c.massKg * g * (1 - c.frontShare)
    tireForce(
      c.front,
      loadF * grip,
      referenceF,
      slipF,
      acrossF / Math.max(slow, Math.abs(alongF)),
      this.front,
    )
    const vyR = vy - b * yaw
    const slipR = (wheel * r - vx) / Math.max(slow, Math.abs(vx))
    tireForce(c.rear, loadR * grip, referenceR, slipR, vyR / Math.max(slow, Math.abs(vx)), this.rear)
    const fxF = this.front.longitudinalN
    const fyF = this.front.lateralN
    const fxR = this.rear.longitudinalN
    const fyR = this.rear.lateralN
    this.use = fourWheel ? Math.max(this.rear.use, this.front.use) : this.rear.use
    this.turning = Math.min(1, (vx * vx * Math.abs(k)) / (c.rear.mu * grip * g))

    const rolls = vx > 0 ? Math.min(1, vx / 0.3) : 0
    const resist =
      (c.rolling + c.rollingPerSpeed * vx) * weight * rolls +
      0.5 * c.airDensity * c.dragAreaM2 * vx * Math.abs(vx) +
      c.bumpsN * (path.rough[cell] as number) * loaded * rolls +
      c.massKg * g * (path.climb[cell] as number)

    const omega = Math.max(0, wheel) * c.finalDrive
    const brakeNm = (c.brakeMost * c.rear.mu * weight * r) / c.finalDrive
    electricsAt(
      e,
      omega,
      y[at.trigger] as number,
      brakeNm,
      this.turboDeg,
      y[at.drawnC] as number,
      (y[at.slow1V] as number) + (y[at.slow2V] as number),
      y[at.windingC] as number,
      y[at.canC] as number,
      this.electric,
    )
    const el = this.electric
    const shaft = el.shaftNm * c.finalDrive
    const through = shaft > 0 ? shaft * (1 - c.gearLoss) : shaft / (1 - c.gearLoss)
    const gear = c.gearNm * Math.min(1, Math.max(0, wheel) / 5)
    const driveNm = through - gear

    const ax = (fxF * cos - fyF * sin + fxR - resist) / this.mass
    const dvx = ax + vy * yaw
    const dvy = (fyF * cos + fxF * sin + fyR) / c.massKg - vx * yaw
    const along = 1 - n * k
    const ds = (vx * Math.cos(psi) - vy * Math.sin(psi)) / along
    out[at.s] = ds
    out[at.n] = vx * Math.sin(psi) + vy * Math.cos(psi)
    out[at.psi] = yaw - k * ds
    out[at.vx] = dvx
    out[at.vy] = dvy
    out[at.yaw] = (a * (fyF * cos + fxF * sin) - b * fyR) / c.yawInertiaKgM2
    out[at.wheel] = (driveNm - r * (fxR + (fourWheel ? fxF : 0))) / this.driveInertia

    const { now } = this
    now.s = y[at.s] as number
    now.n = n
    now.psi = psi
    now.vx = vx
    now.vy = vy
    now.yawRate = yaw
    now.use = this.use
    now.turning = this.turning
    now.tail = Math.atan2(vyR, Math.max(1, vx)) / c.rear.peakAngle
    now.tailPeak = c.rear.peakAngle
    wishOf(path, this.plan, driver, this.lap, now, c.wheelbaseM, this.understeer, this.wish)
    out[at.steer] = (this.wish.steer - steer) / driver.steerLagS
    out[at.trigger] = (this.wish.trigger - (y[at.trigger] as number)) / driver.triggerLagS
    out[at.drawnC] = el.batteryA
    const v1 = y[at.slow1V] as number
    const v2 = y[at.slow2V] as number
    out[at.slow1V] = (el.batteryA * e.slow1Ohm - v1) / e.slow1S
    out[at.slow2V] = (el.batteryA * e.slow2Ohm - v2) / e.slow2S
    const flow = ((y[at.windingC] as number) - (y[at.canC] as number)) / e.windingToCanKPerW
    out[at.windingC] = (el.copperW - flow) / e.windingJPerK
    const cooling = e.coolingWPerK + e.coolingPerRootSpeed * Math.sqrt(Math.max(0, vx))
    out[at.canC] =
      (el.ironW + 0.5 * el.brakeRestW + flow - cooling * ((y[at.canC] as number) - e.airC)) / e.canJPerK
    out[at.transfer] = (ax - (y[at.transfer] as number)) / c.pitchS

    // Books. `restV` is behind the slow sag, whose loss is the pack's too; the cells give at the rest voltage.
    const tires =
      (fourWheel ? fxF * (wheel * r - alongF) : -fxF * alongF) +
      fxR * (wheel * r - vx) -
      fyF * acrossF -
      fyR * vyR
    const gears = (shaft - through) * wheel + gear * wheel
    out[at.cellsJ] = (el.restV + v1 + v2) * el.batteryA
    out[at.lostJ] =
      (v1 + v2) * el.batteryA +
      el.packW +
      el.packV * e.accessoryA +
      el.bridgeW +
      el.copperW +
      el.ironW +
      el.brakeRestW +
      gears +
      tires +
      resist * vx
  }
}
