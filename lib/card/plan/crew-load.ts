import type { BoardView } from '../../board'
import { mechanicsOf, MINUTE } from '../loose-ends/loose-end-people'
import type { RunInfo } from '../day/runs'

/** Hands on a car before its call: pack in, tires on, checks. Common practice, no source. */
export const HANDS_ON_MS = 20 * MINUTE

/** Less than this people sort out between them. */
const WORTH_A_WORD_MS = 5 * MINUTE

/** One run's work: a mechanic is at this car from `from` to the call. */
export interface CrewTask {
  run: RunInfo
  personId: string
  from: number
  until: number
}
/** Two cars that need the same hands at the same time. */
export interface CrewOverlap {
  personId: string
  first: RunInfo
  second: RunInfo
  /** How long both need them, ms. */
  forMs: number
  /** Somebody of the crew whose hands are free then, the least loaded first; null when nobody is. */
  freePersonId: string | null
}
export interface CrewLoad {
  people: { personId: string; tasks: CrewTask[] }[]
  overlaps: CrewOverlap[]
  /** Coming runs that nobody works on. */
  unmanned: RunInfo[]
}

/** Who works on which coming run, where one pair of hands is asked for twice, and who could take over. */
export function crewLoad(view: BoardView, runs: readonly RunInfo[]): CrewLoad {
  const coming = runs.filter((r) => (r.state === 'upcoming' || r.state === 'called') && r.callAt !== null)
  const tasks = coming.flatMap((run): CrewTask[] =>
    mechanicsOf(view, run).map((personId) => ({
      run,
      personId,
      from: (run.callAt ?? 0) - HANDS_ON_MS,
      until: run.callAt ?? 0,
    })),
  )
  const crew = view.people.live.filter((p) => p.role === 'mechanic' || p.role === 'manager')
  const ids = [...new Set([...crew.map((p) => p.id), ...tasks.map((t) => t.personId)])]
  const people = ids.map((personId) => ({ personId, tasks: tasks.filter((t) => t.personId === personId) }))
  const isFree = (personId: string, from: number, until: number) =>
    !tasks.some((t) => t.personId === personId && t.from < until && from < t.until) &&
    // Who drives then has no hands free either.
    !coming.some(
      (r) => r.driverId === personId && (r.callAt ?? 0) < until && from < (r.startAt ?? 0) + 5 * MINUTE,
    )
  const overlaps = people.flatMap(({ personId, tasks: own }) =>
    own.flatMap((task, i): CrewOverlap[] => {
      const before = own[i - 1]
      if (!before || before.until - task.from < WORTH_A_WORD_MS) return []
      const free = people
        .filter((p) => p.personId !== personId && isFree(p.personId, task.from, task.until))
        .sort((a, b) => a.tasks.length - b.tasks.length)[0]
      return [
        {
          personId,
          first: before.run,
          second: task.run,
          forMs: before.until - task.from,
          freePersonId: free?.personId ?? null,
        },
      ]
    }),
  )
  overlaps.sort((a, b) => (a.second.callAt ?? 0) - (b.second.callAt ?? 0))
  return { people, overlaps, unmanned: coming.filter((r) => mechanicsOf(view, r).length === 0) }
}
