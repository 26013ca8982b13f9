import { radPerSecPerRpm } from '../constants'
import { magnetFactor } from '../losses/magnets'
import { integratedSlots } from './ledger'
import type { PreparedCar } from './prepared-car'
import { noResistance, resistanceAt } from './resistance'
import type { SegmentTask } from './segment-task'

/** Which limit holds the car: the driver modulating at the grip, the controller's current, or the motor's own line. */
export const mode = { grip: 0, current: 1, motor: 2 } as const
export type Mode = (typeof mode)[keyof typeof mode]

/** Slots of the state vector. */
export const at = { speed: 0, distance: 1, drawnC: 2, windingC: 3, canC: 4 } as const
export const powers = integratedSlots

/** A straight of smooth ground. */
const straightGround = { cornerSpeedMps: Infinity, radiusM: Infinity, holdShare: 0, bumpsN: 0, jumpN: 0 }

/**
 * Equations of motion in one mode. Within a mode every right-hand side is smooth, so the integrator keeps its order; the kinks are
 * events between modes. Sources: motor and wheel force, setup-math model notes (REFERENCES.md, "Lap model"); load transfer,
 * Gillespie, Fundamentals of Vehicle Dynamics, ch. 1-2.
 */
export class DriveEquations {
  /** Set for the segment. */
  task: Pick<SegmentTask, 'cornerSpeedMps' | 'radiusM' | 'holdShare' | 'bumpsN' | 'jumpN'> = straightGround
  grip = 1
  /** The pack's slow sag, V, and ohmic resistance: they change over minutes and stand still within a segment. */
  slowV = 0
  packOhm: number
  private readonly resists = noResistance()
  /** 1/v_c² in a corner, 0 on a straight: v²/v_c² is the use of the lateral grip. */
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
  motorRpm = 0
  current = 0
  batteryCurrent = 0
  packVoltage = 0
  timingDeg = 0
  duty = 1

  constructor(
    readonly car: PreparedCar,
    readonly size: 3 | 5,
  ) {
    this.packOhm = car.packOhm
  }

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
    const task = this.task
    const v = y[0] as number
    const v2 = v * v
    // Motor speed without slip: what boost goes by.
    const rolls = v * c.motorPerSpeed

    let deg = c.extraTimingDeg
    if (this.boostRegion !== 0 && c.boost) {
      const b = c.boost
      deg +=
        this.boostRegion === 2
          ? b.degrees
          : (b.degrees * (rolls / radPerSecPerRpm - b.startRpm)) / (b.endRpm - b.startRpm)
    }
    if (this.turboPhase === 1 && c.turbo) deg += this.turboAtStart + c.turbo.rampDegPerS * sinceStart
    else if (this.turboPhase === 2) deg += this.turboAtStart
    this.timingDeg = deg - c.extraTimingDeg
    const gained = 1 + c.gainPerDegree * deg
    let kt = c.ktNmPerA / gained
    let copperOhm = c.windingOhm
    if (this.size === 5) {
      copperOhm *= Math.max(0.1, 1 + c.copperCoefficient * ((y[3] as number) - 25))
      if (c.magnetPerKelvin !== 0) kt *= Math.max(0.2, magnetFactor(c.magnetPerKelvin, y[4] as number))
    }
    const rm = copperOhm * c.formFactor2
    // Timing weakens the field and works the iron harder: the loss torque rises with it.
    const idleNm = c.idleNm * Math.max(0.1, 1 + c.idleRisePerDegree * deg)
    const idle0 = ((1 - c.idleSpeedShare) * idleNm) / kt
    const idlePerRadS = (c.idleSpeedShare * idleNm) / kt / c.idleReadRadS
    const rest = this.emptyVolts + this.voltsPerC * (y[2] as number)
    const packOhm = this.packOhm
    const behind = rest - this.slowV
    // I = (d (Uoc - Ia Rp) - ke w) / (Rm + Rc + d² Rp): chopper between a sagging pack and the motor.
    const driveVolts = behind - c.accessoryA * packOhm
    const series = rm + c.controllerOhm
    // F = Kt (I - I0) FDR eta / r, less what the driveline takes.
    const forcePerA = kt * c.motorPerSpeed * c.efficiency
    const drivelineN = v > 0 ? c.drivelineN : 0
    const resistance = resistanceAt(c, task, v, this.resists)

    // Grip: mu times the load on the driven wheels, which acceleration moves by m a h/L; in a corner, what the friction circle leaves.
    const inertia = c.inertiaKg
    const contact = c.contactKg
    const lift = c.liftPerSpeed2 * v2
    const loadN = c.drivenLoadN + c.drivenShare * lift
    let along = this.grip
    let mu = this.grip
    let held0 = -resistance
    if (this.perCornerSpeed2 > 0) {
      const hold = task.holdShare
      let use = v2 * this.perCornerSpeed2
      if (use > 1) use = 1
      // At the limit just the resistance is left to be held: the share of the circle that this takes is set apart.
      const circle = Math.sqrt(1 - use * use * (1 - hold * hold))
      along *= circle
      mu *= circle - hold
      held0 = 0
    }
    let gripAccel = (mu * loadN + held0) / (contact - mu * c.transferKg)
    let wheelie = false
    if (
      c.transferKg > 0 &&
      (mu * c.transferKg >= contact || loadN + c.transferKg * gripAccel > c.weightN + lift)
    ) {
      // The front wheels are in the air: the driven axle carries the whole car and no more.
      gripAccel = (mu * (c.weightN + lift) + held0) / contact
      wheelie = true
    }
    // The contact moves the car and the wheels that the motor does not turn; what it turns itself, the motor spins on top of that.
    const gripForce = gripAccel * inertia + resistance

    // Slip k0 u / (1 - w u) with u = contact force over its limit; both are straight lines in the motor's force.
    const k0 = c.slipInitial
    const w = c.slipBend
    const c1 = contact / inertia
    const c0 = ((inertia - contact) / inertia) * resistance
    const moved = wheelie ? 0 : c.transferKg / inertia
    const g1 = along * moved
    const g0 = along * ((wheelie ? c.weightN + lift : loadN) - moved * resistance)
    const fullOhm = series + packOhm
    // Its coefficients in the motor's force.
    const d1 = g1 - w * c1
    const d0 = g0 - w * c0
    const base = forcePerA * (driveVolts / fullOhm - idle0) - drivelineN
    const perSlip = forcePerA * rolls * (kt / fullOhm + idlePerRadS)
    let motorForce = k0 === 0 ? base - perSlip : forceOnSlip(base, perSlip, k0, c1, c0, d1, d0)
    let slip = k0 === 0 ? 0 : slipUnder(motorForce, k0, c1, c0, d1, d0)
    const full = (driveVolts - kt * rolls * (1 + slip)) / fullOhm
    this.fullCurrent = full
    let current = full
    const limited = full > c.limitA
    let limitedForce = motorForce
    if (limited || this.mode === 1) {
      const free = forcePerA * (c.limitA - idle0) - drivelineN
      const lost = forcePerA * rolls * idlePerRadS
      limitedForce = k0 === 0 ? free - lost : forceOnSlip(free, lost, k0, c1, c0, d1, d0)
      // In the motor's own mode past the limit the step ends where the limit is met; only the grip is asked at the limit then.
      if (this.mode !== 2) {
        motorForce = limitedForce
        if (k0 !== 0) slip = slipUnder(motorForce, k0, c1, c0, d1, d0)
      }
      if (this.mode === 1) current = c.limitA
    }
    this.forceGap = limitedForce - gripForce

    let force = motorForce
    if (this.mode === 0) {
      force = gripForce
      const contactN = contact * gripAccel + resistance
      const limitN = along * (wheelie ? c.weightN + lift : loadN + c.transferKg * gripAccel)
      const use = limitN > 0 ? contactN / limitN : 0
      slip = k0 === 0 ? 0 : (k0 * use) / (1 - w * use)
      current = (gripForce + drivelineN) / forcePerA + idle0 + idlePerRadS * rolls * (1 + slip)
    }
    const omega = rolls * (1 + slip)
    this.rpm = rolls / radPerSecPerRpm
    this.motorRpm = omega / radPerSecPerRpm
    const backEmf = kt * omega
    const idleA = idle0 + idlePerRadS * omega
    let duty = 1
    let freewheelW = 0
    let rippleW = 0
    if (this.mode !== 2) {
      // The smaller root of d² Rp I - d (Uoc - Ia Rp + Vf) + I (Rm + Rc) + ke w + Vf = 0, in the form that does not cancel.
      const need = current * series + backEmf + c.freewheelV
      const open = driveVolts + c.freewheelV
      const disc = open * open - 4 * packOhm * current * need
      duty = (2 * need) / (open + Math.sqrt(disc > 0 ? disc : 0))
      if (!(duty < 1)) duty = 1
      else {
        freewheelW = c.freewheelV * current * (1 - duty)
        if (c.perHenryHertz > 0) {
          const swing = driveVolts * duty * (1 - duty) * c.perHenryHertz
          rippleW = (swing * swing * copperOhm) / 12
        }
      }
    }
    let battery = duty * current + c.accessoryA
    if (rippleW > 0) battery += rippleW / (behind - battery * packOhm)
    const volts = behind - battery * packOhm
    const motorTaken = volts * (battery - c.accessoryA)
    this.current = current
    this.batteryCurrent = battery
    this.packVoltage = volts
    this.duty = duty

    rates[o] = (force - resistance) / inertia
    rates[o + 1] = v
    rates[o + 2] = battery
    const copper = current * current * rm
    const bridge = current * current * c.controllerOhm
    const friction = kt * idleA * omega
    if (this.mode !== 2 && rippleW > 0)
      // What the pack gives beyond chopper and motor: with full duty nothing.
      rippleW = motorTaken - copper - bridge - freewheelW - backEmf * current
    if (this.size === 5 && c.thermal) {
      const th = c.thermal
      const flow = ((y[3] as number) - (y[4] as number)) / th.toCan
      rates[o + 3] = (copper + rippleW - flow) / th.windingJPerK
      rates[o + 4] = (friction + flow - ((y[4] as number) - c.ambientC) / th.toAmbient) / th.canJPerK
    }
    const { resists } = this
    watts[p] = rest * battery
    watts[p + 1] = (this.slowV + battery * packOhm) * battery
    watts[p + 2] = volts * c.accessoryA
    watts[p + 3] = bridge
    watts[p + 4] = current * current * copperOhm
    watts[p + 5] = friction
    watts[p + 6] = kt * (current - idleA) * omega - (force + drivelineN) * v * (1 + slip)
    watts[p + 7] = resists.drag * v
    watts[p + 8] = resists.rolling * v
    watts[p + 9] = force * v * slip
    watts[p + 10] = resists.cornering * v
    watts[p + 11] = resists.bumps * v
    watts[p + 12] = resists.jump * v
    watts[p + 13] = drivelineN * v * (1 + slip)
    watts[p + 14] = freewheelW
    watts[p + 15] = rippleW + current * current * (rm - copperOhm)
  }
}

/** The motor's force where its line, which falls with the slip, meets the slip that the force itself makes: one root of a quadratic. */
function forceOnSlip(
  base: number,
  perSlip: number,
  k0: number,
  c1: number,
  c0: number,
  d1: number,
  d0: number,
): number {
  const free = base - perSlip
  const b = d0 - free * d1 + perSlip * k0 * c1
  const c = perSlip * k0 * c0 - free * d0
  const disc = b * b - 4 * d1 * c
  return (-2 * c) / (b + Math.sqrt(disc > 0 ? disc : 0))
}

/** Slip k0 u / (1 - w u) under a motor's force. */
function slipUnder(force: number, k0: number, c1: number, c0: number, d1: number, d0: number): number {
  const below = d1 * force + d0
  return below > 0 ? (k0 * (c1 * force + c0)) / below : 0
}
