import { setOfRun, type BoardView } from '../../board'
import { mechanicsOf } from './loose-end-people'
import type { LooseEnd } from './loose-end'
import { carInHeat, type RunInfo } from '../day/runs'

/** Tires against the class's limit of sets, and against the runs that each set is good for. */
export function tireLooseEnds(view: BoardView, runs: readonly RunInfo[]): LooseEnd[] {
  return [...overTheLimit(view, runs), ...wornOut(view, runs)]
}

const label = (view: BoardView, setId: string) => view.tireSets.get(setId)?.label ?? 'a removed tire set'
const isComing = (r: RunInfo) => r.state === 'upcoming' || r.state === 'called'
/** What was on the car counts for a run that is over, what is promised for one that comes. */
const setOf = (r: RunInfo): string | null => setOfRun(r.run)

/** A driver's sets in a class, in the order of their first use; the first run that needs one too many is named. */
function overTheLimit(view: BoardView, runs: readonly RunInfo[]): LooseEnd[] {
  const used = new Map<string, Set<string>>()
  return runs.flatMap((run): LooseEnd[] => {
    const limit = run.raceClass?.maxTireSets
    const setId = setOf(run)
    if (!limit || !setId || run.round?.kind === 'practice') return []
    const key = `${run.driverId ?? run.carId} ${run.raceClass?.id ?? ''}`
    const sets = used.get(key) ?? new Set<string>()
    used.set(key, sets)
    const isNew = !sets.has(setId)
    sets.add(setId)
    if (!isNew || sets.size <= limit || !isComing(run)) return []
    return [
      {
        id: `tire-limit:${run.runId}:${setId}`,
        title: `${carInHeat(run)}: ${label(view, setId)} would be tire set ${sets.size}, ${run.raceClass?.name ?? 'the class'} allows ${limit}`,
        why: `used before: ${[...sets]
          .slice(0, -1)
          .map((s) => label(view, s))
          .join(', ')}`,
        who: { personIds: mechanicsOf(view, run), role: 'mechanic' },
        bitesAt: run.callAt,
        carId: run.carId,
        runId: run.runId,
        act: { kind: 'choose-tires', runIds: [run.runId] },
      },
    ]
  })
}

/** Promised to more runs than the set has left. Runs so far are the kit's count, which the end of each run moves. */
function wornOut(view: BoardView, runs: readonly RunInfo[]): LooseEnd[] {
  const planned = new Map<string, number>()
  return runs.filter(isComing).flatMap((run): LooseEnd[] => {
    const setId = run.run?.tireSetId?.v
    const set = view.tireSets.get(setId)
    if (!setId || !set?.runsGood) return []
    const before = (set.runs ?? 0) + (planned.get(setId) ?? 0)
    planned.set(setId, (planned.get(setId) ?? 0) + 1)
    // Only the first run that goes over says so: the next ones follow from it.
    if (before !== Math.max(set.runsGood, set.runs ?? 0)) return []
    return [
      {
        id: `tires-worn:${run.runId}:${setId}`,
        title: `${carInHeat(run)}: ${set.label ?? 'the tires'} will be past ${set.runsGood} runs`,
        why: `${set.runs ?? 0} so far${before > (set.runs ?? 0) ? `, ${before - (set.runs ?? 0)} assigned before this one` : ''}`,
        who: { personIds: mechanicsOf(view, run), role: 'mechanic' },
        bitesAt: run.callAt,
        carId: run.carId,
        runId: run.runId,
        act: { kind: 'choose-tires', runIds: [run.runId] },
      },
    ]
  })
}
