import type { Comparison, DelayRow, GearQuestion, GearRow, ProjectionBasis, TrackLap } from '@/lib/card'

/** What a what-if screen asks its thread. Each kind has one place on the screen: a later question of a kind replaces the one before. */
export type WhatIfQuestion =
  | { kind: 'compare'; today: ProjectionBasis; trial: ProjectionBasis }
  | { kind: 'gearing'; basis: ProjectionBasis; question: GearQuestion }
  | { kind: 'turbo'; basis: ProjectionBasis; delays: readonly number[] }
  | { kind: 'track'; basis: ProjectionBasis; measuredLapS: number | null }

export interface WhatIfAnswers {
  compare: Comparison
  gearing: GearRow[]
  turbo: DelayRow[]
  track: TrackLap
}
export type WhatIfKind = keyof WhatIfAnswers

export type WhatIfReply =
  { n: number; ok: true; answer: WhatIfAnswers[WhatIfKind] } | { n: number; ok: false; message: string }
