import { checkNumber } from '../check-number'
import type { Turbo } from '../controller/turbo'
import type { Car } from '../lap/car'
import type { DriveSettings } from '../lap/segment-driver'
import { simulateLap, type LapRun, type LapSegment } from '../lap/simulate-lap'
import { absent, isAbsent, type Maybe } from '../maybe'
import type { Track } from '../track/track'

/** Turbo on one straight. Speeds are at the braking point, or at the end where the car does not brake. */
export interface StraightTurbo {
  /** Index among all segments, and the straight's number among the straights, from 1. */
  segment: number
  straight: number
  name?: string
  /** Number of the corner it leads to, from 1; absent when another straight follows. */
  nextCorner: Maybe<number>
  fires: boolean
  firesAtS: Maybe<number>
  activeS: number
  peakDeg: number
  fullThrottleS: number
  arrivalMps: number
  arrivalWithoutMps: number
}

export interface DelayTrial {
  delayS: number
  lapS: number
  /** Numbers of all straights it fires on. */
  firesOn: number[]
  /** Those on which it does not fire now, with what it brings at the next corner. */
  alsoFiresOn: { straight: number; nextCorner: Maybe<number>; gainMps: number }[]
  noLongerFiresOn: number[]
}

export interface TurboReport {
  lapS: number
  lapWithoutS: number
  straights: StraightTurbo[]
  firesOn: number[]
  trials: DelayTrial[]
}

const withTurbo = (car: Car, turbo: Turbo | 0): Car => ({ ...car, controller: { ...car.controller, turbo } })

interface Placed {
  run: LapSegment
  segment: number
  straight: number
  nextCorner: Maybe<number>
}

function straightsOf(lap: LapRun): Placed[] {
  const corners = lap.segments.map(
    (s, i) => lap.segments.slice(0, i + 1).filter((x) => x.kind === 'corner').length,
  )
  const out: Placed[] = []
  lap.segments.forEach((run, segment) => {
    if (run.kind !== 'straight') return
    const next = (segment + 1) % lap.segments.length
    const follows = lap.segments[next]?.kind === 'corner'
    out.push({
      run,
      segment,
      straight: out.length + 1,
      nextCorner: follows ? (corners[next] ?? 0) : absent('another straight follows'),
    })
  })
  return out
}

/**
 * On which straights turbo fires, for how long, and what it does to the speed on arrival at the next corner; and what other delays would change.
 * One lap with turbo, one without, one per trial delay.
 * @returns absence when no turbo is set, or the car cannot lap
 * @throws RangeProblem
 */
export function turboReport(
  car: Car,
  track: Track,
  options: { trialDelaysS?: readonly number[]; settings?: DriveSettings } = {},
): Maybe<TurboReport> {
  const turbo = car.controller?.turbo
  if (!turbo || turbo.degrees === 0) return absent('the controller has no turbo set')
  const drive = (c: Car) =>
    simulateLap(c, track, { trace: false, ...(options.settings && { settings: options.settings }) })
  const lap = drive(car)
  if (isAbsent(lap)) return lap
  const plain = drive(withTurbo(car, 0))
  if (isAbsent(plain)) return plain
  const now = straightsOf(lap)
  const without = straightsOf(plain)
  const firing = (all: Placed[]) => all.filter((p) => p.run.turbo.fires).map((p) => p.straight)
  const firesOn = firing(now)
  const trials: DelayTrial[] = []
  for (const [i, delay] of (options.trialDelaysS ?? []).entries()) {
    const delayS = checkNumber(`trialDelaysS[${i}]`, delay, { min: 0, max: 10, unit: 's' })
    const trial = drive(withTurbo(car, { ...turbo, delayS }))
    if (isAbsent(trial)) return trial
    const there = straightsOf(trial)
    const fires = firing(there)
    trials.push({
      delayS,
      lapS: trial.timeS,
      firesOn: fires,
      alsoFiresOn: there
        .filter((p) => p.run.turbo.fires && !firesOn.includes(p.straight))
        .map((p) => ({
          straight: p.straight,
          nextCorner: p.nextCorner,
          gainMps: p.run.peakSpeedMps - (now[p.straight - 1]?.run.peakSpeedMps ?? 0),
        })),
      noLongerFiresOn: firesOn.filter((s) => !fires.includes(s)),
    })
  }
  return {
    lapS: lap.timeS,
    lapWithoutS: plain.timeS,
    firesOn,
    trials,
    straights: now.map(({ run, segment, straight, nextCorner }, i) => ({
      segment,
      straight,
      ...(run.name !== undefined && { name: run.name }),
      nextCorner,
      fires: run.turbo.fires,
      firesAtS: run.turbo.firesAtS,
      activeS: run.turbo.activeS,
      peakDeg: run.turbo.peakDeg,
      fullThrottleS: run.fullThrottleS,
      arrivalMps: run.peakSpeedMps,
      arrivalWithoutMps: without[i]?.run.peakSpeedMps ?? 0,
    })),
  }
}
