import { joinId, setOfRun, type BoardView, type TireSet as KitSet } from '../../board'
import type { TireInput, TireLimit, TireRun, TireSet } from '../../planner'
import { raceSecondsOf } from '../day/day-forecast'
import { MINUTE } from '../loose-ends/loose-end-people'
import { FIT_BEFORE_CALL_MS, RUN_IMPORTANCE } from './plan-input'
import { carInHeat, type RunInfo } from '../day/runs'

/** A set comes off the car this long after the race clock. Common practice, no source. */
const OFF_AFTER_MS = 6 * MINUTE
/** To take a set off one car and put it on another. Common practice, no source. */
const CHANGE_SECONDS = 300
/** Weighs more than any wear: what the card asks for comes before what is fresher. */
const OTHER_RUBBER = 9
const WEAR_STEP = 2
/** A set that nobody gave a limit is good for any day. */
const NO_LIMIT_RUNS = 500

const isComing = (r: RunInfo) => r.state === 'upcoming' || r.state === 'called'
/** What is on the car for a run that has begun or is over; null when nobody said. */
const ranOn = (r: RunInfo): string | null => setOfRun(r.run)

/** A run has one set, so only whole sets are planned; pairs for one axle stay with people. */
export const isWholeSet = (set: KitSet): boolean => (set.axle ?? 'set') === 'set'

/** Runs that a set is still good for by the kit's count; null when nobody said how long it lasts. */
export const runsLeftOf = (set: KitSet): number | null =>
  set.runsGood === undefined ? null : Math.max(0, set.runsGood - (set.runs ?? 0))

/**
 * The board as the tire planner needs it: the coming runs, the sets with what is left in them, the classes' limits, what is on the cars, what
 * people said stays. A run on the track counts too: its set is away and loses a run that nobody has counted yet.
 */
export function tireInput(view: BoardView, runs: readonly RunInfo[], now: number): TireInput {
  const planned = runs.filter(
    (r) =>
      r.startAt !== null && (isComing(r) ? r.startAt > now : r.state === 'on-track' && ranOn(r) !== null),
  )
  const sets = view.tireSets.live.filter((s) => isWholeSet(s) && s.state?.v !== 'worn')
  const pins = planned.flatMap((r) => {
    const setId = r.state === 'on-track' ? ranOn(r) : (r.run?.tiresOn?.v ?? keptSet(r))
    return setId && view.tireSets.get(setId) ? [{ runId: r.runId, setId }] : []
  })
  const pinnedSets = view.tireSets.live.filter((s) => pins.some((p) => p.setId === s.id) && !sets.includes(s))
  return {
    runs: planned.map((r) => tireRun(view, r, [...sets, ...pinnedSets], pins)),
    sets: [...sets, ...pinnedSets].map((s): TireSet => ({
      id: s.id,
      label: s.label ?? s.id,
      runsLeft: runsLeftOf(s) ?? NO_LIMIT_RUNS,
      used: (s.runs ?? 0) > 0 || s.onCarId != null || runs.some((r) => !isComing(r) && ranOn(r) === s.id),
    })),
    limits: limitsOf(runs),
    changeSeconds: CHANGE_SECONDS,
    pins,
    onCars: sets.flatMap((s) => (s.onCarId ? [{ carId: s.onCarId, setId: s.id }] : [])),
    known: planned.flatMap((r) => {
      const setId = r.run?.tireSetId?.v
      return setId ? [{ runId: r.runId, setId }] : []
    }),
  }
}

const keptSet = (r: RunInfo) => (r.run?.tiresKept ? r.run.tireSetId?.v : undefined)

function tireRun(view: BoardView, run: RunInfo, sets: readonly KitSet[], pins: TireInput['pins']): TireRun {
  const drive = view.cars.get(run.carId)?.drive
  const pinned = pins.find((p) => p.runId === run.runId)?.setId
  return {
    id: run.runId,
    label: carInHeat(run),
    carId: run.carId,
    readyBy: (run.callAt ?? 0) - FIT_BEFORE_CALL_MS,
    freeAt: (run.startAt ?? 0) + raceSecondsOf(view, run.heat) * 1000 + OFF_AFTER_MS,
    importance: RUN_IMPORTANCE[run.round?.kind ?? 'qualifying'],
    limitId: limitIdOf(run),
    fits: sets
      // What a person chose stands, whatever it is meant for.
      .filter((s) => s.id === pinned || !s.drive || !drive || s.drive === drive)
      .map((s) => ({ setId: s.id, mismatch: mismatchOf(view, run.carId, s) })),
  }
}

/** How far a set is from the best for a car: other rubber than its card asks for, then wear, in quarters of its life. */
function mismatchOf(view: BoardView, carId: string, set: KitSet): number {
  const asked = ['tireFront', 'tireRear'].flatMap((parameter) => {
    const value = view.cardValues.get(joinId(carId, parameter))?.assigned?.v
    return typeof value === 'string' ? value.toLowerCase().split(',') : []
  })
  const words = new Set(asked.map((w) => w.trim()))
  const rubber = [set.compound, set.tread].filter((w): w is string => !!w)
  const isOther = words.size > 0 && rubber.some((w) => !words.has(w.toLowerCase().trim()))
  const quarters = set.runsGood ? Math.min(4, Math.floor((4 * (set.runs ?? 0)) / set.runsGood)) : 0
  return (isOther ? OTHER_RUBBER : 0) + WEAR_STEP * quarters
}

/** The allowance is a driver's in a class; practice does not count against it. */
function limitIdOf(run: RunInfo): string | null {
  if (!run.raceClass?.maxTireSets || run.round?.kind === 'practice') return null
  return `${run.driverId ?? run.carId} ${run.raceClass.id}`
}

function limitsOf(runs: readonly RunInfo[]): TireLimit[] {
  const limits = new Map<string, TireLimit>()
  for (const run of runs) {
    const id = limitIdOf(run)
    if (!id) continue
    const setId = isComing(run) ? null : ranOn(run)
    const used = limits.get(id)?.usedSetIds ?? []
    limits.set(id, {
      id,
      label: `the sets of ${run.driverName || run.carName} in ${run.raceClass?.name ?? 'the class'}`,
      maxSets: run.raceClass?.maxTireSets ?? 0,
      usedSetIds: setId && !used.includes(setId) ? [...used, setId] : used,
    })
  }
  return [...limits.values()]
}
