import { absent, type Maybe } from '../maybe'
import type { DormandPrince } from './dormand-prince'
import { at, mode, type DriveEquations } from './drive-equations'
import type { DriveEventKind } from './drive-result'
import type { PreparedCar } from './prepared-car'
import type { SegmentTask } from './segment-task'

/** What may end a regime within a step. */
export enum Watch {
  End,
  Brake,
  GripGap,
  CurrentLimit,
  BoostStart,
  BoostEnd,
  SocDown,
  SocUp,
}

/** N, A, rpm or share: less than this past a mark is rounding. */
const brush = 1e-11
/** Shares of the larger end: a mark is met to rounding, and looked for to about what a step's polynomial is good for. */
const met = 1e-13
const lookedAt = 1e-7
/** Of a step's tolerance: a mark need not be met closer than that, once rounding is far below. */
const metOfTolerance = 1e-3
const polishes = 5

/**
 * Watches the marks at which a regime changes: finds the earliest that an attempted step passes and the step that ends on it, and steps over the kink
 * into the next regime. Works on the equations and the attempt that the driver shares with it.
 */
export class RegimeWatch {
  private readonly met: number
  private readonly lookedAt: number

  constructor(
    private readonly eq: DriveEquations,
    private readonly rk: DormandPrince,
    private readonly car: PreparedCar,
    private readonly tolerance: number,
  ) {
    this.met = Math.max(met, metOfTolerance * tolerance)
    this.lookedAt = Math.max(lookedAt, metOfTolerance * tolerance)
  }

  /** How far a watch has passed its mark at the step's end; positive is past. */
  private past(watch: Watch, task: SegmentTask): number {
    const { eq, car, rk } = this
    switch (watch) {
      case Watch.End:
        return (rk.y1[at.distance] as number) - task.lengthM
      case Watch.Brake:
        return (
          (rk.y1[at.speed] as number) ** 2 -
          task.braking.speed2(task.lengthM - (rk.y1[at.distance] as number)) * (1 + 1e-12)
        )
      case Watch.GripGap:
        return eq.mode === mode.grip ? -eq.forceGap : eq.forceGap
      case Watch.CurrentLimit:
        return eq.mode === mode.current ? car.limitA - eq.fullCurrent : eq.fullCurrent - car.limitA
      case Watch.BoostStart:
        return eq.boostRegion === 0
          ? eq.rpm - (car.boost?.startRpm ?? 0)
          : (car.boost?.startRpm ?? 0) - eq.rpm
      case Watch.BoostEnd:
        return eq.boostRegion === 2 ? (car.boost?.endRpm ?? 0) - eq.rpm : eq.rpm - (car.boost?.endRpm ?? 0)
      case Watch.SocDown:
        return (
          (car.socTable[eq.socIndex] as number) - (car.startSoc - (rk.y1[at.drawnC] as number) / car.coulombs)
        )
      case Watch.SocUp:
        return (
          car.startSoc -
          (rk.y1[at.drawnC] as number) / car.coulombs -
          (car.socTable[eq.socIndex + 1] as number)
        )
    }
  }

  private watched(watch: Watch, mayBrake: boolean): boolean {
    const { eq, car } = this
    switch (watch) {
      case Watch.End:
      case Watch.GripGap:
      case Watch.SocDown:
        return true
      case Watch.Brake:
        return mayBrake
      case Watch.CurrentLimit:
        return eq.mode !== mode.grip && car.limitA !== Infinity
      case Watch.BoostStart:
        return car.boost !== undefined && eq.boostRegion < 2
      case Watch.BoostEnd:
        return car.boost !== undefined && eq.boostRegion > 0
      case Watch.SocUp:
        return eq.socIndex + 2 < car.socTable.length
    }
  }

  /**
   * The earliest watch that the attempted step of h passed, and the step that ends on it; afterwards the attempt stands at that
   * shorter step. No crossing leaves the attempt as it was. `onEdge`: the grip's gap is not looked at.
   */
  firstCrossing(
    task: SegmentTask,
    h: number,
    mayBrake: boolean,
    onEdge: boolean,
  ): { watch: number; h: number } {
    let end = h
    let found = -1
    // Each crossing found shortens the step; the later watches are then looked at on the shorter one.
    for (let watch = 0; watch < 8; watch++) {
      if (watch === found || !this.watched(watch, mayBrake)) continue
      if (onEdge && watch === Watch.GripGap) continue
      const over = this.past(watch, task)
      // Right after a change the mark is met to rounding, and a very short step would see it passed or not by chance.
      if (!(over > (watch === Watch.End ? 0 : brush))) continue
      const root = this.locate(watch, end, over, task)
      if (root < end || found < 0) {
        end = root
        found = watch
      }
    }
    return { watch: found, h: end }
  }

  /**
   * The length of the step that ends on the mark; leaves the attempt standing there. The root is looked for on the step's own polynomial, where a look costs
   * one evaluation; a few attempts then bring it to rounding.
   */
  private locate(watch: Watch, h: number, over: number, task: SegmentTask): number {
    const { rk } = this
    rk.keep(h)
    rk.stay()
    const atOrigin = this.past(watch, task)
    if (atOrigin >= 0) return 0
    const scale = Math.max(over, -atOrigin)
    const about = falsePosition(
      (x) => {
        rk.look(x, h)
        return this.past(watch, task)
      },
      { lo: 0, hi: h, fLo: atOrigin, fHi: over },
      this.lookedAt * scale,
    )
    // Attempts stand a little off the polynomial: the mark is met by its slope there, and by the attempts' own from the second on.
    const bracket: Bracket = { lo: 0, hi: h, fLo: atOrigin, fHi: over }
    let x = about.x
    let slope = about.slope
    let before: { x: number; f: number } | undefined
    for (let i = 0; i < polishes; i++) {
      rk.attempt(x, this.tolerance, this.tolerance)
      const f = this.past(watch, task)
      if (Math.abs(f) <= this.met * scale) return x
      if (before && f !== before.f) slope = (f - before.f) / (x - before.x)
      before = { x, f }
      if (f > 0) [bracket.hi, bracket.fHi] = [x, f]
      else [bracket.lo, bracket.fLo] = [x, f]
      x -= f / slope
      if (!(x > bracket.lo && x < bracket.hi)) break
    }
    let standsAt = before?.x
    const end = falsePosition(
      (trial) => {
        rk.attempt(trial, this.tolerance, this.tolerance)
        standsAt = trial
        return this.past(watch, task)
      },
      bracket,
      this.met * scale,
    ).x
    if (standsAt !== end) rk.attempt(end, this.tolerance, this.tolerance)
    return end
  }

  /** Steps over a kink into the next regime. */
  change(watch: Watch, event: (kind: DriveEventKind) => void): Maybe<true> {
    const { eq, car } = this
    switch (watch) {
      case Watch.GripGap:
        if (eq.mode === mode.grip) {
          eq.mode = eq.fullCurrent > car.limitA ? mode.current : mode.motor
          event(eq.mode === mode.current ? 'grip lets go to current limit' : 'grip lets go to motor')
        } else {
          eq.mode = mode.grip
          event('grip limit')
        }
        return true
      case Watch.CurrentLimit:
        event(eq.mode === mode.current ? 'current limit ends' : 'current limit')
        eq.mode = eq.mode === mode.current ? mode.motor : mode.current
        return true
      case Watch.BoostStart:
        event(eq.boostRegion === 0 ? 'boost starts' : 'boost falls')
        eq.boostRegion = eq.boostRegion === 0 ? 1 : 0
        return true
      case Watch.BoostEnd:
        event(eq.boostRegion === 2 ? 'boost falls' : 'boost full')
        eq.boostRegion = eq.boostRegion === 2 ? 1 : 2
        return true
      case Watch.SocDown:
        if (eq.socIndex === 0) return absent('the pack is empty before the end')
        eq.setSocIndex(eq.socIndex - 1)
        return true
      default:
        eq.setSocIndex(eq.socIndex + 1)
        return true
    }
  }
}

interface Bracket {
  lo: number
  hi: number
  fLo: number
  fHi: number
}

/** Illinois false position: where `f` rises through nothing between `lo` and `hi`, and its slope about there. */
function falsePosition(
  f: (x: number) => number,
  { lo, hi, fLo, fHi }: Bracket,
  enough: number,
): { x: number; slope: number } {
  const tries = 60
  let slope = (fHi - fLo) / (hi - lo)
  let last = 0
  let x = hi
  let at = fHi
  for (let i = 0; i < tries && hi - lo > 1e-14; i++) {
    let to = (lo * fHi - hi * fLo) / (fHi - fLo)
    if (!(to > lo && to < hi)) to = (lo + hi) / 2
    const now = f(to)
    if (to !== x && now !== at) slope = (now - at) / (to - x)
    x = to
    at = now
    if (Math.abs(now) <= enough) break
    if (now > 0) {
      hi = x
      fHi = now
      if (last === 1) fLo /= 2
      last = 1
    } else {
      lo = x
      fLo = now
      if (last === -1) fHi /= 2
      last = -1
    }
  }
  return { x, slope }
}
