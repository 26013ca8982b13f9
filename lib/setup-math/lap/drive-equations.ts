import { radPerSecPerRpm } from '../constants'
import { integratedSlots } from './ledger'
import type { PreparedCar } from './prepared-car'

/** Which limit holds the car: the driver modulating at the grip, the controller's current, or the motor's own line. */
export const mode = { grip: 0, current: 1, motor: 2 } as const
export type Mode = (typeof mode)[keyof typeof mode]

/** Slots of the state vector. */
export const at = { speed: 0, distance: 1, drawnC: 2, windingC: 3, canC: 4 } as const
export const powers = integratedSlots

/**
 * Equations of motion in one mode. Within a mode every right-hand side is smooth, so the integrator keeps its order; the kinks are
 * events between modes. Sources: motor and wheel force, setup-math model notes (REFERENCES.md, "Lap model"); load transfer,
 * Gillespie, Fundamentals of Vehicle Dynamics, ch. 1-2.
 */
export class DriveEquations {
  /** Set for the segment. */
  grip = 1
  /** 1/v_c² in a corner, 0 on a straight: the share of the grip that cornering takes is v²/v_c². */
  perCornerSpeed2 = 0
  /** Set by events. */
  mode: Mode = mode.motor
  boostRegion = 0
  turboPhase = 0
  turboAtStart = 0
  socIndex = 0
  private emptyVolts = 0
  private voltsPerC = 0

  /** Read after `evaluate`. */
  fullCurrent = 0
  forceGap = 0
  rpm = 0
  current = 0
  batteryCurrent = 0
  packVoltage = 0
  timingDeg = 0
  duty = 1

  constructor(
    readonly car: PreparedCar,
    readonly size: 3 | 5,
  ) {}

  /** Fixes the stretch of the pack's table; `evaluate` then reads it as one straight line, beyond its ends too. */
  setSocIndex(i: number): void {
    const { socTable, voltTable, cells, coulombs, startSoc } = this.car
    const last = Math.max(0, Math.min(socTable.length - 2, i))
    this.socIndex = last
    const s0 = socTable[last] ?? 0
    const v0 = voltTable[last] ?? 0
    const slope = ((voltTable[last + 1] ?? 0) - v0) / ((socTable[last + 1] ?? 1) - s0)
    this.emptyVolts = cells * (v0 + slope * (startSoc - s0))
    this.voltsPerC = (-cells * slope) / coulombs
  }

  restVolts(drawnC: number): number {
    return this.emptyVolts + this.voltsPerC * drawnC
  }

  /**
   * Rates of the state at `sinceStart` seconds after the step's origin into `rates[o..]`, powers in W into `watts[p..]`.
   */
  evaluate(
    sinceStart: number,
    y: Float64Array,
    rates: Float64Array,
    o: number,
    watts: Float64Array,
    p: number,
  ): void {
    const c = this.car
    const v = y[0] as number
    const omega = v * c.motorPerSpeed
    const rpm = omega / radPerSecPerRpm
    this.rpm = rpm

    let deg = c.extraTimingDeg
    if (this.boostRegion !== 0 && c.boost) {
      const b = c.boost
      deg += this.boostRegion === 2 ? b.degrees : (b.degrees * (rpm - b.startRpm)) / (b.endRpm - b.startRpm)
    }
    if (this.turboPhase === 1 && c.turbo) deg += this.turboAtStart + c.turbo.rampDegPerS * sinceStart
    else if (this.turboPhase === 2) deg += this.turboAtStart
    this.timingDeg = deg - c.extraTimingDeg
    const gained = 1 + c.gainPerDegree * deg
    const kt = c.ktNmPerA / gained
    // Timing weakens the field and works the iron harder: the loss torque rises by the factor by which Kt falls, so the current by its square.
    const idleA = c.noLoadA * gained * gained

    let rm = c.windingOhm
    if (this.size === 5) rm *= Math.max(0.1, 1 + c.copperCoefficient * ((y[3] as number) - 25))
    const rest = this.emptyVolts + this.voltsPerC * (y[2] as number)
    // I = (d (Uoc - Ia Rp) - ke w) / (Rm + Rc + d^2 Rp): chopper between a sagging pack and the motor.
    const driveVolts = rest - c.accessoryA * c.packOhm
    const backEmf = kt * omega
    const series = rm + c.controllerOhm
    const full = (driveVolts - backEmf) / (series + c.packOhm)
    this.fullCurrent = full
    // F = Kt (I - I0) FDR eta / r
    const forcePerA = kt * c.motorPerSpeed * c.efficiency
    const resistance = c.rollingN + c.dragPerSpeed2 * v * v
    const held = full > c.limitA ? c.limitA : full
    const motorForce = (held - idleA) * forcePerA

    // Grip: mu times the load on the driven wheels, which acceleration moves by m a h/L; in a corner, what cornering leaves.
    let cornering = v * v * this.perCornerSpeed2
    if (cornering > 1) cornering = 1
    const mu = this.grip * (1 - cornering)
    const held0 = (cornering - 1) * resistance
    const inertia = c.inertiaKg
    // The contact moves the car and the wheels that the motor does not turn; what it turns itself, the motor spins on top of that.
    const contact = c.contactKg
    let gripAccel = (mu * c.drivenLoadN + held0) / (contact - mu * c.transferKg)
    if (
      c.transferKg > 0 &&
      (mu * c.transferKg >= contact || c.drivenLoadN + c.transferKg * gripAccel > c.weightN)
    ) {
      // The front wheels are in the air: the driven axle carries the whole car and no more.
      gripAccel = (mu * c.weightN + held0) / contact
    }
    const gripForce = gripAccel * inertia + resistance
    this.forceGap = motorForce - gripForce

    let current: number
    let force: number
    let duty = 1
    if (this.mode === 2) {
      current = full
      force = (full - idleA) * forcePerA
    } else {
      if (this.mode === 1) {
        current = c.limitA
        force = (current - idleA) * forcePerA
      } else {
        force = gripForce
        current = gripForce / forcePerA + idleA
      }
      // The smaller root of d^2 Rp I - d (Uoc - Ia Rp) + I (Rm + Rc) + ke w = 0, in the form that does not cancel.
      const need = current * series + backEmf
      const disc = driveVolts * driveVolts - 4 * c.packOhm * current * need
      duty = (2 * need) / (driveVolts + Math.sqrt(disc > 0 ? disc : 0))
      if (!(duty < 1)) duty = 1
    }
    const drawn = duty * current
    const battery = drawn + c.accessoryA
    const volts = rest - battery * c.packOhm
    this.current = current
    this.batteryCurrent = battery
    this.packVoltage = volts
    this.duty = duty

    rates[o] = (force - resistance) / inertia
    rates[o + 1] = v
    rates[o + 2] = battery
    const copper = current * current * rm
    const friction = kt * idleA * omega
    if (this.size === 5 && c.thermal) {
      const th = c.thermal
      const flow = ((y[3] as number) - (y[4] as number)) / th.toCan
      rates[o + 3] = (copper - flow) / th.windingJPerK
      rates[o + 4] = (friction + flow - ((y[4] as number) - c.ambientC) / th.toAmbient) / th.canJPerK
    }
    watts[p] = rest * battery
    watts[p + 1] = battery * battery * c.packOhm
    watts[p + 2] = volts * c.accessoryA
    watts[p + 3] = current * current * c.controllerOhm
    watts[p + 4] = copper
    watts[p + 5] = friction
    watts[p + 6] = kt * (current - idleA) * omega - force * v
    watts[p + 7] = c.dragPerSpeed2 * v * v * v
    watts[p + 8] = c.rollingN * v
  }
}
