import type { BoardView } from '../../board'
import { cardRows } from '../setup-card/card-rows'
import { openChecks } from './checks'
import { missingFitted, missingPowered, missingShod } from './fact-grounds'
import { openFollowUps } from '../loose-ends/follow-ups'
import { acceptState } from './run-digest'
import type { RunInfo } from '../day/runs'

/** Readiness, always in this order. */
export const FACTS = ['assigned', 'fitted', 'powered', 'shod', 'checked', 'accepted'] as const
export type FactName = (typeof FACTS)[number]

export interface Fact {
  fact: FactName
  /** `void`: it was true, and a later change undid it. */
  state: 'yes' | 'no' | 'void'
  /** What is missing, in words; empty when true. */
  missing: string[]
}

/** The six facts of a run, each true or not. */
export function factsOf(view: BoardView, run: RunInfo): Fact[] {
  const accept = acceptState(view, run)
  const fact = (name: FactName, missing: string[]): Fact => ({
    fact: name,
    state: missing.length ? 'no' : 'yes',
    missing,
  })
  return [
    fact('assigned', missingAssigned(view, run)),
    fact('fitted', missingFitted(view, run)),
    fact('powered', missingPowered(view, run)),
    fact('shod', missingShod(view, run)),
    fact('checked', missingChecked(view, run)),
    {
      fact: 'accepted',
      state: accept === 'valid' ? 'yes' : accept === 'void' ? 'void' : 'no',
      missing:
        accept === 'valid'
          ? []
          : [
              accept === 'void'
                ? 'changed since the accept'
                : `${run.driverName || 'the driver'} has not accepted`,
            ],
    },
  ]
}

function missingAssigned(view: BoardView, run: RunInfo): string[] {
  const assigned = new Set(
    cardRows(view, run.carId)
      .filter((r) => r.assigned !== null)
      .map((r) => r.parameter.id),
  )
  const missing: string[] = []
  if (!assigned.has('pinion')) missing.push('no pinion assigned')
  if (!assigned.has('spur')) missing.push('no spur assigned')
  return missing
}

function missingChecked(view: BoardView, run: RunInfo): string[] {
  return [
    ...openFollowUps(view, run.carId).map((f) => f.name),
    ...openChecks(view, run.runId).map((l) => `${l.name}: ${l.open} of ${l.items.length} open`),
  ]
}
