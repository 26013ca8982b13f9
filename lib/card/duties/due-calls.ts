import type { RunInfo } from '../day/runs'

/** Minutes before a call at which somebody is told. Common practice, no source. */
export const CALL_MINUTES = [10, 5, 2] as const

export interface DueCall {
  /** Stable for one run and one of the minutes, so that nobody is told twice. */
  key: string
  run: RunInfo
  minutes: number
}

const keyOf = (run: RunInfo, minutes: number) => `${run.runId}:${minutes}`

/**
 * Which calls are to be told now. One that was missed (the phone slept) is not made up for: only the latest of the three that is due counts, and a
 * call that has passed says nothing. A day that slips later tells nothing twice.
 *
 * @param told keys of what was told before
 * @param now ms since the epoch
 */
export function dueCalls(runs: readonly RunInfo[], now: number, told: ReadonlySet<string>): DueCall[] {
  return runs.flatMap((run): DueCall[] => {
    if (run.callAt === null || run.state !== 'upcoming') return []
    const left = run.callAt - now
    const minutes = [...CALL_MINUTES].reverse().find((m) => left <= m * 60_000)
    if (left <= 0 || minutes === undefined) return []
    const key = keyOf(run, minutes)
    // Told at two minutes, it needs no five minutes any more when the heat slips.
    const isTold = CALL_MINUTES.some((m) => m <= minutes && told.has(keyOf(run, m)))
    return isTold ? [] : [{ key, run, minutes }]
  })
}
