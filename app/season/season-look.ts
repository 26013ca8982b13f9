import { lastTimeHere, type LastTimeHere, type SeasonRun } from '@/lib/season'

/** What other screens ask of the season: all runs of one pack or tire set, or the last meeting on a track. */
export type SeasonLook =
  | { kind: 'pack'; packId: string }
  | { kind: 'tires'; tireSetId: string }
  /** Before a day, ms since the epoch, and not this meeting itself. */
  | { kind: 'last'; trackId: string; before: number; notThis: string | null }

export interface SeasonSeen {
  runs: readonly SeasonRun[]
  last: LastTimeHere | null
}
export const NOTHING_SEEN: SeasonSeen = { runs: [], last: null }

export function lookAtSeason(runs: readonly SeasonRun[], look: SeasonLook): SeasonSeen {
  switch (look.kind) {
    case 'pack':
      return { runs: runs.filter((r) => r.packId === look.packId), last: null }
    case 'tires':
      return { runs: runs.filter((r) => r.tireSetId === look.tireSetId), last: null }
    case 'last':
      return { runs: [], last: lastTimeHere(runs, { ...look, notThis: look.notThis ?? undefined }) }
  }
}
