import { derived, type Board } from '../../derived'
import { diffCards, recordSnapshot, type CardDifference } from '../setup-card/card-diff'
import type { RunInfo } from '../day/runs'
import { runsNow } from '../day/today'
import { remarksOf } from './debrief-state'
import { meanLap } from './mean-lap'
import { runLaps, type DrivenLap, type RunLaps } from './run-laps'

/** One run of a car as a line of its story. */
export interface StoryRow {
  run: RunInfo
  /** What was in the car otherwise than in its run before; null for the first, and where no record was frozen. */
  changes: CardDifference[] | null
  laps: RunLaps
  /** Mean lap, s: as it is learned from (`meanLap`). */
  meanS: number | null
  /** The result's own best lap, else the list's. */
  bestS: number | null
  remarks: ReturnType<typeof remarksOf>
}

/** The runs of a car that have begun, in the order driven. */
export const carStory = derived((view: Board, carId: string): StoryRow[] => {
  let before: RunInfo | undefined
  return runsNow(view)
    .filter((r) => r.carId === carId && (r.state === 'finished' || r.state === 'on-track'))
    .map((run): StoryRow => {
      const [was, now] = [before?.run?.record?.v, run.run?.record?.v]
      const changes =
        before && was && now ? diffCards(view, recordSnapshot(before, was), recordSnapshot(run, now)) : null
      if (now) before = run
      const laps = runLaps(view, run.runId)
      const result = run.run?.result?.v
      return {
        run,
        changes,
        laps,
        meanS: meanLap(view, run.run)?.meanS ?? null,
        bestS: result?.bestLapS ?? laps.bestS,
        remarks: remarksOf(view, run.runId),
      }
    })
})

/** One lap of two runs beside each other; null where a run has no such lap. */
export interface LapPair {
  lap: number
  a: DrivenLap | null
  b: DrivenLap | null
  /** B less A in this lap, s. */
  differenceS: number | null
  /** B less A since the start, s. */
  gapS: number | null
}

/** Two runs lap by lap. */
export function lapPairs(a: RunLaps, b: RunLaps): LapPair[] {
  let gap = 0
  return Array.from({ length: Math.max(a.laps.length, b.laps.length) }, (_, i) => {
    const [x, y] = [a.laps[i] ?? null, b.laps[i] ?? null]
    const differenceS = x && y ? y.seconds - x.seconds : null
    if (differenceS !== null) gap += differenceS
    return { lap: i + 1, a: x, b: y, differenceS, gapS: differenceS === null ? null : gap }
  })
}
