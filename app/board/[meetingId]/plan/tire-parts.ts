import type { BoardView } from '@/lib/board'
import { isWholeSet, runsLeftOf, type RunInfo } from '@/lib/card'
import type { TirePlan } from '@/lib/planner'

/** One run's part of proposed tires, where it differs from what the board holds. */
export interface TirePart {
  runId: string
  run: RunInfo
  tireSetId: string
  label: string
  /** What the run has now, and what else is worth knowing, in words. */
  words: string
}

const isComing = (r: RunInfo) => r.state === 'upcoming' || r.state === 'called'
const labelOf = (view: BoardView, id: string | null | undefined): string =>
  id ? (view.tireSets.get(id)?.label ?? 'a removed tire set') : 'none'

/** What a plan changes on the board, in order of the runs. */
export function tireParts(view: BoardView, runs: readonly RunInfo[], plan: TirePlan): TirePart[] {
  return runs.filter(isComing).flatMap((run): TirePart[] => {
    const use = plan.uses.find((u) => u.runId === run.runId)
    const now = run.run?.tireSetId?.v ?? null
    const set = view.tireSets.get(use?.setId)
    if (!use || !set || use.setId === now) return []
    const onCar = set.onCarId ? view.cars.get(set.onCarId)?.name : undefined
    const facts = [
      now ? `instead of ${labelOf(view, now)}` : 'nothing assigned yet',
      [set.compound, set.tread].filter(Boolean).join(' '),
      set.runs ? `${set.runs}${set.runsGood ? ` of ${set.runsGood}` : ''} runs so far` : 'new',
      onCar ? `on ${onCar} now` : '',
    ]
    return [
      {
        runId: run.runId,
        run,
        tireSetId: use.setId,
        label: labelOf(view, use.setId),
        words: facts.filter(Boolean).join(' · '),
      },
    ]
  })
}

/** A set with the runs that are behind it and before it. */
export interface TireSetRow {
  id: string
  label: string
  what: string
  runs: number
  /** Null when nobody said how long it lasts. */
  runsGood: number | null
  /** Coming runs that it is assigned to. */
  assigned: number
  /** After those; below zero it is asked for too often. Null when nobody said how long it lasts. */
  leftAfter: number | null
}

export function tireSetRows(view: BoardView, runs: readonly RunInfo[]): TireSetRow[] {
  return view.tireSets.live.map((set) => {
    const assigned = runs.filter((r) => isComing(r) && r.run?.tireSetId?.v === set.id).length
    const left = runsLeftOf(set)
    const axle = isWholeSet(set) ? undefined : `${set.axle ?? ''} only`
    return {
      id: set.id,
      label: set.label ?? '?',
      what: [set.drive?.toUpperCase(), set.compound, set.tread, axle, set.state?.v === 'worn' ? 'worn' : '']
        .filter(Boolean)
        .join(', '),
      runs: set.runs ?? 0,
      runsGood: set.runsGood ?? null,
      assigned,
      leftAfter: left === null ? null : left - assigned,
    }
  })
}

/** How many sets each driver uses of what the class allows, assigned ones included. */
export function allowanceWords(view: BoardView, runs: readonly RunInfo[]): string[] {
  const drivers = new Map<string, { who: string; limit: number; sets: Set<string> }>()
  for (const run of runs) {
    const limit = run.raceClass?.maxTireSets
    if (!limit || run.round?.kind === 'practice') continue
    const key = `${run.driverId ?? run.carId} ${run.raceClass?.id ?? ''}`
    const entry = drivers.get(key) ?? {
      who: `${run.driverName || run.carName}, ${run.raceClass?.name ?? 'class'}`,
      limit,
      sets: new Set<string>(),
    }
    drivers.set(key, entry)
    const setId = run.run?.record?.v?.tireSetId ?? run.run?.tiresOn?.v ?? run.run?.tireSetId?.v
    if (setId) entry.sets.add(labelOf(view, setId))
  }
  return [...drivers.values()].map(
    (d) => `${d.who}: ${d.sets.size} of ${d.limit} sets${d.sets.size ? ` (${[...d.sets].join(', ')})` : ''}`,
  )
}
