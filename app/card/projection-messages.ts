import type { CardProjections, ProjectionBasis } from '@/lib/card'

/** To the worker: project this ground. Questions are answered in order, the best estimates first. */
export interface ProjectionQuestion {
  key: string
  basis: ProjectionBasis
  /** With the ± and what it rests on. */
  withSpread: boolean
}

export type ProjectionAnswer =
  | { key: string; withSpread: boolean; kind: 'done'; projections: CardProjections }
  | { key: string; withSpread: boolean; kind: 'failed'; message: string }
