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

/** What a what-if screen asks its thread. Each kind has one place on the screen: a later question of a kind replaces the one before. */
export type WhatIfQuestion =
  | { kind: 'compare'; today: ProjectionBasis; trial: ProjectionBasis }
  | { kind: 'gearing'; basis: ProjectionBasis; question: GearQuestion }
  | { kind: 'turbo'; basis: ProjectionBasis; delays: readonly number[] }
  | { kind: 'learned'; basis: ProjectionBasis }
  | { kind: 'suggest'; basis: ProjectionBasis; changes: readonly Change[] }
  | { kind: 'trace'; basis: ProjectionBasis }
  | { kind: 'track'; basis: ProjectionBasis; measuredLapS: number | null }

export interface WhatIfAnswers {
  compare: Comparison
  gearing: GearRow[]
  turbo: DelayRow[]
  track: TrackLap
  /** A text: why there is none. */
  trace: { trace: LapTrace } | string
  /** Null before the first record. */
  learned: { learned: Learned | null }
  suggest: Suggestion[]
}
export type WhatIfKind = keyof WhatIfAnswers

export type WhatIfReply =
  { n: number; ok: true; answer: WhatIfAnswers[WhatIfKind] } | { n: number; ok: false; message: string }
