import { absent, isAbsent, type Maybe } from '../maybe'
import { slowSagAfter } from '../pack/slow-sag'
import { brakeToExit } from './brake-to-exit'
import { DormandPrince } from './dormand-prince'
import { at, DriveEquations, mode } from './drive-equations'
import type { DriveEventKind, DriveLimit, SegmentRun, TracePoint } from './drive-result'
import type { PreparedCar } from './prepared-car'
import { RegimeWatch, Watch } from './regime-watch'
import type { RunState } from './run-state'
import type { SegmentTask } from './segment-task'

export interface DriveSettings {
  /** Local error per step, relative. */
  tolerance: number
  maxStepS: number
}

/** Coarser than the error asked of a lap by two orders; the closed forms are met to 1e-8. */
export const usualDriveSettings: DriveSettings = { tolerance: 1e-9, maxStepS: 0.5 }

const limitName: readonly DriveLimit[] = ['grip', 'current', 'motor']
/** A long straight at top speed takes some 30 steps a second; past this something else is wrong. */
const mostSteps = 100_000
/** A segment has a handful of regimes; a car that changes them hundreds of times sits on a mark, and each change costs a root search. */
const mostChanges = 200
/** s. Nothing moves in it. */
const anInstantS = 1e-9

/**
 * Drives one segment after the other. Full throttle until the braking curve; each change of regime (grip to motor line, current
 * limit, boost's corners, turbo's fire and top, braking point, the table's rows) is located on the step that crosses it, so the
 * result does not depend on the step.
 */
export class SegmentDriver {
  private readonly eq: DriveEquations
  private readonly rk: DormandPrince
  private readonly watch: RegimeWatch
  private h = 0.02

  constructor(
    readonly car: PreparedCar,
    readonly settings: DriveSettings = usualDriveSettings,
  ) {
    this.eq = new DriveEquations(car, car.thermal ? 5 : 3)
    this.rk = new DormandPrince(this.eq)
    this.watch = new RegimeWatch(this.eq, this.rk, car, settings.tolerance)
  }

  /** Drives a segment and updates `state`. Trace points are pushed, with time and distance from `timeS` and `fromM`. */
  drive(
    task: SegmentTask,
    state: RunState,
    trace?: { points: TracePoint[]; timeS: number; fromM: number },
  ): Maybe<SegmentRun> {
    const { eq, rk, car, settings } = this
    const { turbo } = car
    const y = rk.y0
    y[at.speed] = state.speedMps
    y[at.distance] = 0
    y[at.drawnC] = state.drawnC
    if (eq.size === 5) {
      y[at.windingC] = state.windingC
      y[at.canC] = state.canC
    }
    eq.grip = task.mu
    eq.task = task
    eq.slowV = state.slowV.reduce((sum, x) => sum + x, 0)
    eq.packOhm = car.packOhmAt(state.packC)
    const corner = Number.isFinite(task.cornerSpeedMps)
    eq.perCornerSpeed2 = corner ? 1 / task.cornerSpeedMps ** 2 : 0
    // A corner that hands on its own speed asks for no brakes: it is held.
    const mayBrake =
      Number.isFinite(task.exitSpeedLimitMps) && task.exitSpeedLimitMps < task.cornerSpeedMps * (1 - 1e-12)
    const run: SegmentRun = {
      timeS: 0,
      entrySpeedMps: state.speedMps,
      exitSpeedMps: state.speedMps,
      peakSpeedMps: state.speedMps,
      brakeAtM: absent('the car does not brake here'),
      turbo: { fires: false, firesAtS: absent('turbo does not fire here'), activeS: 0, peakDeg: 0 },
      fullThrottleS: 0,
      gripLimitedS: 0,
      currentLimitedS: 0,
      chargeC: -state.drawnC,
      brakeHeatJ: 0,
      minPackVoltageV: Infinity,
      peakMotorCurrentA: 0,
      peakBatteryCurrentA: 0,
      peakMotorRpm: 0,
      events: [],
    }
    let t = 0
    let held = state.heldS

    this.findSocIndex(state.drawnC)
    this.findBoostRegion(state.speedMps)
    this.setTurbo(held)
    eq.mode = mode.motor
    rk.begin()
    if (eq.forceGap > 0) {
      eq.mode = mode.grip
      // In a corner the driver steadies the throttle, which is a lift; on a straight the trigger is or gets full, spinning or not.
      if (corner) {
        held = 0
        this.setTurbo(0)
      }
      rk.begin()
    } else if (eq.fullCurrent > car.limitA) {
      eq.mode = mode.current
      rk.begin()
    }
    const event = (kind: DriveEventKind) =>
      run.events.push({
        kind,
        timeS: t,
        distanceM: y[at.distance] as number,
        speedMps: y[at.speed] as number,
      })
    const observe = () => {
      if (eq.packVoltage < run.minPackVoltageV) run.minPackVoltageV = eq.packVoltage
      if (eq.current > run.peakMotorCurrentA) run.peakMotorCurrentA = eq.current
      if (eq.batteryCurrent > run.peakBatteryCurrentA) run.peakBatteryCurrentA = eq.batteryCurrent
      if (eq.motorRpm > run.peakMotorRpm) run.peakMotorRpm = eq.motorRpm
      trace?.points.push({
        timeS: trace.timeS + t,
        distanceM: trace.fromM + (y[at.distance] as number),
        speedMps: y[at.speed] as number,
        motorCurrentA: eq.current,
        batteryCurrentA: eq.batteryCurrent,
        packVoltageV: eq.packVoltage,
        timingDeg: eq.timingDeg,
        motorRpm: eq.motorRpm,
        limit: limitName[eq.mode] ?? 'motor',
      })
    }
    observe()

    const onBrakes = () => (y[at.speed] as number) ** 2 >= task.braking.speed2(task.lengthM) * (1 - 1e-9)
    let braking = mayBrake && onBrakes()
    let changes = 0
    // Changes between grip and motor without any time in between.
    let atOnce = 0
    for (let steps = 0; !braking; steps++) {
      if (steps > mostSteps || changes > mostChanges)
        return absent('the car does not reach the end in any sensible time')
      let h = Math.min(this.h, settings.maxStepS)
      // Turbo's fire and top are known in time: the step ends on them. Its clock runs on the trigger, not on the motor's load: at the grip limit on a
      // straight it runs for the share of the time that the driver's habit gives, and once turbo has fired the trigger is full.
      const clock = eq.mode !== mode.grip || eq.turboPhase > 0 ? 1 : corner ? 0 : car.exitTriggerShare
      let turboEvent = false
      if (turbo && clock > 0) {
        const left =
          eq.turboPhase === 0
            ? (turbo.delayS - held) / clock
            : eq.turboPhase === 1
              ? (turbo.degrees - eq.turboAtStart) / turbo.rampDegPerS
              : Infinity
        if (h >= left || left < 1e-12) {
          h = Math.max(left, 0)
          turboEvent = true
        }
      }
      let crossed = -1
      if (h > 0) {
        const error = rk.attempt(h, 1e-2 * settings.tolerance, settings.tolerance)
        if (!(error <= 1)) {
          this.h = h * Math.max(0.2, 0.9 * (error > 0 ? error : 1e10) ** -0.2)
          if (!(this.h > 1e-12))
            return absent('the motion cannot be followed: its forces change without bound')
          continue
        }
        if (!turboEvent || h > 0.5 * this.h) this.h = h * Math.min(5, 0.9 * Math.max(error, 1e-8) ** -0.2)
        // Each regime leads into the other: the two forces are one to rounding, and a step in either is as good.
        const root = this.watch.firstCrossing(task, h, mayBrake, atOnce >= 2)
        crossed = root.watch
        if (crossed >= 0) {
          turboEvent = false
          h = root.h
        }
        atOnce = crossed === Watch.GripGap && h <= anInstantS ? atOnce + 1 : 0
        rk.accept(h, state.sums)
        if (eq.turboPhase === 1 && turbo) eq.turboAtStart += turbo.rampDegPerS * h
        t += h
        held += clock * h
        if (eq.turboPhase > 0) run.turbo.activeS += h
        if (eq.mode === mode.grip) run.gripLimitedS += h
        if (held > run.fullThrottleS) run.fullThrottleS = held
        if (eq.mode === mode.current) run.currentLimitedS += h
        observe()
        if ((y[at.speed] as number) <= 1e-9 && rk.rate0(at.speed) <= 0) {
          return absent('the drive force does not overcome the resistance: the car stands')
        }
      }
      if (turboEvent) {
        eq.turboPhase++
        if (eq.turboPhase === 1) {
          eq.turboAtStart = 0
          run.turbo.fires = true
          run.turbo.firesAtS = t
          event('turbo fires')
        } else {
          eq.turboAtStart = turbo?.degrees ?? 0
          event('turbo full')
        }
        rk.begin()
      }
      if (eq.turboAtStart > run.turbo.peakDeg) run.turbo.peakDeg = eq.turboAtStart
      if (crossed === Watch.End) break
      if (crossed === Watch.Brake) braking = true
      else if (crossed >= 0) {
        // In a corner the driver steadies the throttle at the grip's limit; a ramp that has begun goes on until the lift.
        if (corner && eq.turboPhase === 0 && crossed === Watch.GripGap) held = 0
        changes++
        const stop = this.watch.change(crossed, event)
        if (isAbsent(stop)) return stop
        rk.begin()
        observe()
      }
    }
    run.timeS = t
    run.peakSpeedMps = Math.max(run.peakSpeedMps, y[at.speed] as number)
    state.heldS = held
    state.speedMps = y[at.speed] as number
    state.drawnC = y[at.drawnC] as number
    if (eq.size === 5) {
      state.windingC = y[at.windingC] as number
      state.canC = y[at.canC] as number
    }
    if (braking) {
      event('braking')
      run.brakeAtM = y[at.distance] as number
      const cells = { volts: eq.restVolts(state.drawnC), slowV: eq.slowV, packOhm: eq.packOhm }
      brakeToExit(car, task, run, state, y[at.distance] as number, cells, trace)
    }
    run.exitSpeedMps = state.speedMps
    run.chargeC += state.drawnC
    if (run.timeS > 0) this.restPack(state, run.chargeC / run.timeS, run.timeS)
    return run
  }

  /** The slow parts of the pack over a segment, under its mean current. */
  private restPack(state: RunState, meanA: number, seconds: number): void {
    const { slowSag, packJPerK } = this.car
    const slowV = state.slowV.reduce((sum, x) => sum + x, 0)
    slowSag.forEach((pair, i) => {
      state.slowV[i] = slowSagAfter(pair, state.slowV[i] ?? 0, meanA, seconds)
    })
    state.packC += (Math.abs(meanA) * (slowV + Math.abs(meanA) * this.eq.packOhm) * seconds) / packJPerK
  }

  private findSocIndex(drawnC: number): void {
    const { socTable, startSoc, coulombs } = this.car
    const soc = startSoc - drawnC / coulombs
    let i = socTable.length - 2
    while (i > 0 && soc <= (socTable[i] as number)) i--
    this.eq.setSocIndex(i)
  }

  private findBoostRegion(speed: number): void {
    const { boost, motorPerSpeed } = this.car
    const rpm = (speed * motorPerSpeed * 30) / Math.PI
    this.eq.boostRegion = !boost || rpm < boost.startRpm ? 0 : rpm < boost.endRpm ? 1 : 2
  }

  private setTurbo(held: number): void {
    const { turbo } = this.car
    const deg = turbo ? Math.min(turbo.degrees, (held - turbo.delayS) * turbo.rampDegPerS) : 0
    this.eq.turboPhase = !turbo || deg <= 0 ? 0 : deg < turbo.degrees ? 1 : 2
    this.eq.turboAtStart = Math.max(0, deg)
  }
}
