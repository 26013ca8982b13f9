import { checkNumber, checkObject, checkOptional } from '../check-number'

/** How a radio and a controller turn the trigger into duty. Every member may be absent; all shares are 0..1. */
export interface TriggerSettings {
  /** How much of the channel's travel full throttle and full brake use; 1 is the calibrated end point. */
  throttleEndPoint?: number
  brakeEndPoint?: number
  /** -1..1: below 0 softer about neutral, above 0 sharper; out = (1 - e) x + e x^3 for softer. Common practice, no source. */
  expo?: number
  /** Trigger either side of neutral that does nothing. */
  neutralDeadband?: number
  /** Over the trigger's first `softeningRange`, drive is eased by `softening`: 0 none, 1 as much as can be without stalling it. */
  softening?: number
  softeningRange?: number
  /** Fastest rise of duty, per second; none when absent. */
  punchLimitPerS?: number
  /** Braking at neutral, and the most braking at full brake. */
  dragBrake?: number
  brakeForce?: number
}

/** Softening acts over about the first fifth of the trigger. Common practice, no source. */
export const usualSofteningRange = 0.2

const share = { min: 0, max: 1 }

function checked(s: TriggerSettings) {
  checkObject('trigger', s)
  return {
    throttleEndPoint: checkOptional('throttleEndPoint', s.throttleEndPoint, { min: 0.2, max: 1.5 }, 1),
    brakeEndPoint: checkOptional('brakeEndPoint', s.brakeEndPoint, { min: 0.2, max: 1.5 }, 1),
    expo: checkOptional('expo', s.expo, { min: -1, max: 1 }, 0),
    neutralDeadband: checkOptional('neutralDeadband', s.neutralDeadband, { min: 0, max: 0.5 }, 0),
    softening: checkOptional('softening', s.softening, share, 0),
    softeningRange: checkOptional(
      'softeningRange',
      s.softeningRange,
      { min: 0, max: 1, above: true },
      usualSofteningRange,
    ),
    punchLimitPerS: checkOptional(
      'punchLimitPerS',
      s.punchLimitPerS,
      { min: 0.1, max: 1e4, unit: 'per s' },
      Infinity,
    ),
    dragBrake: checkOptional('dragBrake', s.dragBrake, share, 0),
    brakeForce: checkOptional('brakeForce', s.brakeForce, share, 1),
  }
}

/** Expo curve on 0..1: passes 0 and 1, rising throughout. Positive is sharper about neutral. */
function withExpo(x: number, expo: number): number {
  // The cubic mix is the usual form; its mirror image sharpens. Common practice, no source.
  return expo <= 0 ? (1 + expo) * x - expo * x ** 3 : 1 - ((1 - expo) * (1 - x) + expo * (1 - x) ** 3)
}

/**
 * Steady duty at a trigger position, -1 (full brake) .. 0 .. 1 (full throttle): `drive` and `brake` as shares 0..1.
 * End point, deadband, expo, softening and brake shares in the order the signal meets them.
 * @throws RangeProblem
 */
export function triggerToDuty(settings: TriggerSettings, trigger: number): { drive: number; brake: number } {
  const s = checked(settings)
  const t = checkNumber('trigger', trigger, { min: -1, max: 1 })
  const size = Math.abs(t)
  const shaped = withExpo(size, s.expo) * (t >= 0 ? s.throttleEndPoint : s.brakeEndPoint)
  const past = Math.min(1, Math.max(0, (shaped - s.neutralDeadband) / (1 - s.neutralDeadband)))
  if (past === 0) return { drive: 0, brake: s.dragBrake }
  if (t < 0) return { drive: 0, brake: Math.max(s.dragBrake, past * s.brakeForce) }
  return { drive: soften(past, s.softening, s.softeningRange), brake: 0 }
}

/**
 * Softened drive: within the range a parabola that starts at slope 1 - softening and joins the straight line without a step or a
 * dip, so drive still rises all the way.
 */
function soften(x: number, softening: number, range: number): number {
  if (x >= range) return x
  const u = x / range
  return range * (u - softening * u * (1 - u))
}

/**
 * Smallest trigger position whose steady duty reaches `drive`; 1 when only full throttle does, undefined when none does.
 * @throws RangeProblem
 */
export function triggerForDuty(settings: TriggerSettings, drive: number): number | undefined {
  const wanted = checkNumber('drive', drive, share)
  if (triggerToDuty(settings, 1).drive < wanted) return undefined
  let [lo, hi] = [0, 1]
  for (let i = 0; i < 50; i++) {
    const mid = (lo + hi) / 2
    if (triggerToDuty(settings, mid).drive < wanted) lo = mid
    else hi = mid
  }
  return hi
}

/** Duty after `seconds` of asking for `wanted` from `from`: the punch limit holds the rise, never the fall. @throws RangeProblem */
export function punchLimitedDuty(
  settings: TriggerSettings,
  from: number,
  wanted: number,
  seconds: number,
): number {
  const { punchLimitPerS } = checked(settings)
  const a = checkNumber('from', from, share)
  const b = checkNumber('wanted', wanted, share)
  const rise = punchLimitPerS * checkNumber('seconds', seconds, { min: 0, max: 1e6, unit: 's' })
  return b <= a || !Number.isFinite(rise) ? b : Math.min(b, a + rise)
}
