import type {
  Comparison,
  DelayRow,
  GearQuestion,
  GearRow,
  LapTrace,
  ProjectionBasis,
  TrackLap,
} from '@/lib/card'
import type { Learned } from '@/lib/learning'
import type { Change, Suggestion } from '@/lib/suggestions'

/** What screens ask the simulator besides a card's own lap. */
export interface WhatIfTasks {
  compare: { question: { today: ProjectionBasis; trial: ProjectionBasis }; answer: Comparison }
  /** A text: why there is none. */
  trace: { question: ProjectionBasis; answer: { trace: LapTrace } | string }
  /** Null before the first record. */
  learned: { question: ProjectionBasis; answer: { learned: Learned | null } }
  suggest: { question: { basis: ProjectionBasis; changes: readonly Change[] }; answer: Suggestion[] }
  track: { question: { basis: ProjectionBasis; measuredLapS: number | null }; answer: TrackLap }
  turbo: { question: { basis: ProjectionBasis; delays: readonly number[] }; answer: DelayRow[] }
  gearing: { question: { basis: ProjectionBasis; sweep: GearQuestion }; answer: GearRow[] }
}
