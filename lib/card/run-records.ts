import type { BoardView } from '../board'
import type { InputValues } from './projections-inputs'

/** What was measured after a past run of a car: what the model's error is learned from. */
export interface RunRecordOf {
  runId: string
  /** What differed on the card then. */
  inputs: InputValues
  /** By the figures' names; `putBackMah` is the race and what was driven around it. */
  measured: {
    putBackMah?: number
    /** The race alone. */
    chargeUsedMah?: number
    canC?: number
    lowV?: number
    endV?: number
    topMps?: number
    meanLapS?: number
  }
}

/** Runs of this car that are over and after which the charge put back was noted; not the run asked for. */
export function runRecordsOf(view: BoardView, carId: string, notThis: string | undefined): RunRecordOf[] {
  const out: RunRecordOf[] = []
  for (const entry of view.entries.live) {
    if (entry.carId !== carId || entry.id === notThis) continue
    const run = view.runs.get(entry.id)
    const putBackMah = run?.chargeBackMah?.v
    if (!run || !putBackMah) continue
    const then = run.record?.v?.values ?? {}
    const teeth = (id: 'pinion' | 'spur') => {
      const value = then[id]?.fitted ?? then[id]?.assigned
      return typeof value === 'number' ? { [id]: value } : {}
    }
    const canC = run.motorC?.v
    out.push({
      runId: entry.id,
      inputs: { ...teeth('pinion'), ...teeth('spur') },
      measured: { putBackMah, ...(typeof canC === 'number' && canC > 20 && { canC }) },
    })
  }
  return out
}
