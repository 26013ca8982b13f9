import {
  finalDrive,
  isAbsent,
  rankGearPairs,
  rollout,
  sameSpeedFinalDrive,
  simulateLap,
  type Maybe,
  type RankedGearPair,
  type SmoothFigures,
} from '../../setup-math'
import type { Refusal } from '../../core/result'
import { learnedError } from './learned-error'
import { differenceHalfWidth, withModelError } from './projections-error'
import { refusalOf } from './projections-refusal'
import { lapTrace, type LapTrace } from '../track/lap-trace'
import { energyParts, type EnergyPart } from './energy-parts'
import type { ProjectionBasis } from './projections-basis'
import { carOf, trackOf, valuesOf } from './projections-car'
import type { InputId, InputValues } from './projections-inputs'
import {
  drive,
  driveFigures,
  figuresOf,
  LAP_SETTINGS,
  nameOf,
  nearDrive,
  PROJECTED_AS,
} from './projections-drive'
import { intervalsOf, type Figures, type Spread } from './projections-spread'

/** Figures that are compared side by side. */
export const COMPARED = [
  { key: 'rolloutMm', label: 'Rollout', unit: 'mm/turn', digits: 2 },
  { key: 'finalDrive', label: 'Final drive ratio', unit: '', digits: 3 },
  { key: 'topMps', label: 'Top speed on this track', unit: 'm/s', digits: 2 },
  { key: 'lapS', label: 'Flying lap', unit: 's', digits: 2 },
  { key: 'meanLapS', label: 'Mean lap of the race', unit: 's', digits: 2 },
  { key: 'chargeUsedMah', label: 'Charge used', unit: 'mAh', digits: 0 },
  { key: 'endV', label: 'At rest after the run', unit: 'V/cell', digits: 3 },
  { key: 'lowV', label: 'Lowest under load', unit: 'V/cell', digits: 3 },
  { key: 'canC', label: 'Motor can at the finish', unit: '°C', digits: 1 },
  { key: 'peakA', label: 'Highest motor current', unit: 'A', digits: 0 },
] as const

const TODAY = 'today.'

export interface Difference {
  key: string
  label: string
  unit: string
  digits: number
  today: number
  trial: number
  /** 90% half width of the difference itself: what both laps share cancels. */
  plusMinus: number
  rests: Spread['rests']
}

export interface Comparison {
  differences: Difference[]
  today: LapTrace | null
  trial: LapTrace | null
  /** Where the trial's energy goes, and today's. */
  energy?: { today: EnergyPart[]; trial: EnergyPart[] }
  /** Why one of them can't be projected. */
  problem: Refusal | string | null
}

/** A card as driven, and what its figures become for values a little off its own. */
function sideOf(basis: ProjectionBasis) {
  const values = valuesOf(basis)
  const gearing = (v: InputValues): Figures => {
    const car = carOf(basis, v)
    const ratio = finalDrive(car)
    return {
      finalDrive: ratio,
      rolloutMm: rollout({ tireDiameterMm: car.tireDiameterMm, finalDrive: ratio }),
    }
  }
  const driven = drive(basis, values)
  if (typeof driven === 'string') return null
  const near = nearDrive(basis, values, driven)
  if (isAbsent(near)) return null
  return {
    values,
    own: { ...figuresOf(driven, basis.raceSeconds), ...gearing(values) } as Figures,
    smooth: (v: InputValues): Maybe<SmoothFigures & Figures> => {
      const lap = near.smooth(v)
      return isAbsent(lap) ? lap : { ...lap, ...gearing(v) }
    },
    figures: near.figures,
    parts: energyParts(driven.lap),
  }
}

/** Today's card beside a trial: traces and differences. An input that both share moves both, so its uncertainty mostly cancels. */
export function compareCards(today: ProjectionBasis, trial: ProjectionBasis): Comparison {
  const none = { differences: [], today: null, trial: null }
  try {
    const [a, b] = [lapTrace(today), lapTrace(trial)]
    if (typeof a === 'string') return { ...none, problem: `Today’s card: ${a}` }
    if (typeof b === 'string') return { ...none, today: a, problem: `The trial: ${b}` }
    const [mine, theirs] = [sideOf(today), sideOf(trial)]
    if (!mine || !theirs)
      return { ...none, today: a, trial: b, problem: 'One of the two can’t finish a lap.' }
    // The model's error is that of the car: both sides have it, and it mostly cancels.
    const error = learnedError(today, mine.values)
    const [fa, fb] = [mine, theirs].map(({ own, values }) =>
      withModelError(own, values, error, today.raceSeconds),
    ) as [Figures, Figures]
    const keys = COMPARED.filter((c) => fa[c.key] !== undefined && fb[c.key] !== undefined)
    const base = mine.smooth(mine.values)
    const names = isAbsent(base) ? [] : Object.keys(base).map((key): [string, string] => [key, TODAY + key])
    // Both sides' figures are moved together, each under its own name.
    const spread = intervalsOf(
      trial,
      (moved): Maybe<Record<string, number>> => {
        const x = mine.smooth(shifted(mine.values, theirs.values, moved))
        const y = theirs.smooth(moved)
        if (isAbsent(x) || isAbsent(y)) return isAbsent(x) ? x : y
        const both: Record<string, number> = { ...y }
        for (const [key, name] of names) both[name] = x[key] ?? 0
        return both
      },
      (s) => {
        const own: Record<string, number> = {}
        for (const [key, name] of names) own[key] = s[name] ?? 0
        const x = mine.figures(own as SmoothFigures)
        const y = theirs.figures(s as SmoothFigures)
        const out: Record<string, number> = {}
        for (const { key } of keys) {
          const [name, times] = PROJECTED_AS[key] ?? []
          out[key] =
            name === undefined
              ? (s[key] ?? 0) - (own[key] ?? 0)
              : (times ?? 1) * ((y[name] ?? 0) - (x[name] ?? 0))
        }
        return out
      },
    )
    return {
      today: a,
      trial: b,
      problem: null,
      energy: { today: mine.parts, trial: theirs.parts },
      differences: keys.map((c) => ({
        ...c,
        today: fa[c.key] ?? 0,
        trial: fb[c.key] ?? 0,
        plusMinus: differenceHalfWidth(
          c.key,
          { today: fa[c.key] ?? 0, trial: fb[c.key] ?? 0 },
          spread[c.key]?.plusMinus ?? 0,
          mine.values,
          error,
        ),
        rests: spread[c.key]?.rests ?? [],
      })),
    }
  } catch (error) {
    return { ...none, problem: refusalOf(error, trial) }
  }
}

/** Today's values, moved by what the trial's were moved by. */
function shifted(own: InputValues, theirs: InputValues, moved: InputValues): InputValues {
  const out: InputValues = { ...own }
  for (const [id, value] of Object.entries(moved) as [InputId, number][]) {
    const by = value - (theirs[id] ?? value)
    const mine = own[id]
    if (by !== 0 && mine !== undefined) out[id] = mine + by
  }
  return out
}

const withValues = (basis: ProjectionBasis, change: InputValues): InputValues => ({
  ...valuesOf(basis),
  ...change,
})

export interface GearRow extends RankedGearPair {
  rolloutMm: number
  /** Null where the car can't be driven or the track is missing. */
  topMps: number | null
  lapS: number | null
  canC: number | null
  chargeUsedMah: number | null
}

export interface GearQuestion {
  pinions: readonly number[]
  spurs: readonly number[]
  fitted: { pinion: number; spur: number } | null
  moduleMm: number | null
  slot: { minCentreMm: number; maxCentreMm: number } | null
  /** Rank by distance to this ratio; the card's own when null. */
  targetFinalDrive: number | null
}

/** Every pair with what it does on the track; whether the motor mount takes it is marked where the kit knows the slot. */
export function gearingSweep(basis: ProjectionBasis, q: GearQuestion): GearRow[] {
  const values = valuesOf(basis)
  const { internalRatio = 1, pinion = 20, spur = 80, tireDiameterMm = 83 } = values
  const known = q.slot && q.moduleMm !== null
  const pairs = rankGearPairs({
    pinions: q.pinions,
    spurs: q.spurs,
    internalRatio,
    targetFinalDrive: q.targetFinalDrive ?? finalDrive({ pinion, spur, internalRatio }),
    ...(q.fitted && { fitted: q.fitted }),
    ...(known && q.slot && { slot: q.slot, moduleMm: q.moduleMm ?? 0.5 }),
  })
  return pairs.map((p) => {
    const f = basis.segments && basis.lacks.length === 0 ? driveFigures(basis, withValues(basis, p)) : null
    return {
      ...p,
      rolloutMm: rollout({ tireDiameterMm, finalDrive: p.finalDrive }),
      topMps: f?.['topMps'] ?? null,
      lapS: f?.['lapS'] ?? null,
      canC: f?.['canC'] ?? null,
      chargeUsedMah: f?.['chargeUsedMah'] ?? null,
    }
  })
}

/** The final drive ratio that keeps today's speed with the trial's motor, pack and tires; null when nothing of that changed. */
export function sameSpeedRatio(today: ProjectionBasis, trial: ProjectionBasis): number | null {
  const [a, b] = [valuesOf(today), valuesOf(trial)]
  const { pinion, spur, internalRatio } = a
  if (!pinion || !spur || !internalRatio || !a.kv || !b.kv || !a.tireDiameterMm || !b.tireDiameterMm)
    return null
  const basisOf = (v: InputValues) => ({
    kvRpmPerVolt: v.kv ?? 0,
    // The voltage counts by the cells: two packs of one kind differ by less than the day does.
    voltageV: 3.8 * (v.cells ?? 2),
    tireDiameterMm: v.tireDiameterMm ?? 0,
  })
  const now = finalDrive({ pinion, spur, internalRatio })
  const [before, after] = [basisOf(a), basisOf(b)]
  if (JSON.stringify(before) === JSON.stringify(after)) return null
  return sameSpeedFinalDrive(now, before, after)
}

export interface DelayRow {
  delayS: number
  /** Straights it fires on, in driving order. */
  fires: string[]
  lapS: number
  /** Degrees reached at most. */
  peakDeg: number
}

/** The turbo delay swept: on which straights it fires and what the lap becomes. */
export function turboDelaySweep(basis: ProjectionBasis, delays: readonly number[]): DelayRow[] {
  if (!basis.segments || basis.lacks.length) return []
  const track = trackOf(
    basis.segments,
    (valuesOf(basis).trackScalePercent ?? 100) / 100,
    valuesOf(basis).bumpsN,
  )
  return delays.flatMap((delayS): DelayRow[] => {
    const lap = simulateLap(carOf(basis, withValues(basis, { turboDelayS: delayS })), track, {
      trace: false,
      settings: LAP_SETTINGS,
    })
    if (isAbsent(lap)) return []
    const fired = lap.segments.filter((s) => s.kind === 'straight' && s.turbo.fires)
    return [
      {
        delayS,
        fires: fired.map((s) => nameOf(s, lap)),
        lapS: lap.timeS,
        peakDeg: Math.max(0, ...fired.map((s) => s.turbo.peakDeg)),
      },
    ]
  })
}
