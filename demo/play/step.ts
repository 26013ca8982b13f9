import type { BoardView } from '@/lib/board'
import { acceptState, factsOf, freezeRecord } from '@/lib/card'
import type { DemoPersonId } from '../roster'
import { runInfo, type Act } from '../seed/story'

/** What every phone on the network must see after a step. */
export interface Expectation {
  says: string
  holds: (view: BoardView, now: number) => boolean
}

/** One thing that happens in the hour. `at` in minutes from its beginning. */
export interface Step {
  at: number
  who: DemoPersonId
  says: string
  /** What is written; `t` is the moment in ms since the epoch. */
  acts?: (t: number) => readonly Act[]
  network?: 'away' | 'back'
  expect?: Expectation
}

export const ready = (runId: string): Expectation => ({
  says: `${runId} is ready in all six facts`,
  holds: (view, now) => factsOf(view, runInfo(view, runId, now)).every((f) => f.state === 'yes'),
})
export const acceptIs = (runId: string, state: 'valid' | 'void'): Expectation => ({
  says: `the accept of ${runId} is ${state}`,
  holds: (view, now) => acceptState(view, runInfo(view, runId, now)) === state,
})
/** The start froze the record: accepted, with nothing missing, and covering what the car holds. */
export const frozen = (runId: string): Expectation => ({
  says: `the record of ${runId} is frozen, accepted, nothing missing`,
  holds: (view, now) => {
    const run = runInfo(view, runId, now)
    const record = run.run?.record?.v
    return (
      record?.accepted === true &&
      record.missing.length === 0 &&
      record.digest === freezeRecord(view, run, record.frozenAt).digest
    )
  },
})
