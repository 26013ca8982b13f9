import { joinId, type BoardView, type LapMark } from '../../board'
import { isAbsent, lapStatistics } from '../../setup-math'

export interface DrivenLap {
  /** From 1. */
  lap: number
  seconds: number
  mark: LapMark | null
}

export interface RunLaps {
  laps: DrivenLap[]
  /** Of the laps that nobody marked; null when there is none. Spread: standard deviation (n − 1), null for one lap. */
  clean: { count: number; meanS: number; medianS: number; spreadS: number | null } | null
  /** Of all laps. */
  bestS: number | null
  sumS: number
}

/** A run's lap list with its marks: a marked lap stays in the list and out of the pace. */
export function runLaps(view: BoardView, runId: string): RunLaps {
  const laps = (view.runs.get(runId)?.laps?.v ?? []).map((seconds, i): DrivenLap => {
    const lap = i + 1
    return { lap, seconds, mark: view.lapMarks.get(joinId(runId, String(lap)))?.mark?.v ?? null }
  })
  const clean = laps.filter((l) => l.mark === null).map((l) => l.seconds)
  const s = clean.length > 0 ? lapStatistics(clean) : null
  return {
    laps,
    clean: s && {
      count: s.laps,
      meanS: s.meanS,
      medianS: s.medianS,
      spreadS: isAbsent(s.sdS) ? null : s.sdS,
    },
    bestS: laps.length > 0 ? Math.min(...laps.map((l) => l.seconds)) : null,
    sumS: laps.reduce((sum, l) => sum + l.seconds, 0),
  }
}
