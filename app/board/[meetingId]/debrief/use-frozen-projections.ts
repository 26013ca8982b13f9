'use client'
import { frozenGround, measuredBeside, type Beside, type ProjectionInput } from '@/lib/card'
import { useLapProjections } from '@/app/card/projection-context'
import { useDerived, useBoard } from '@/app/sync'
import type { PartProps } from './part-props'

/** What the run's frozen setup was projected to do, beside what was measured. */
export function useFrozenProjections({ run }: PartProps): {
  rows: Beside[]
  inputs: readonly ProjectionInput[]
  /** Why nothing is projected; null when something is, or is being worked on. */
  problem: string | null
  isRough: boolean
  retry?: (() => void) | undefined
} {
  const view = useBoard()
  const ground = useDerived(frozenGround, run.runId)
  const none = ground ? null : 'No record was saved at the start, so nobody knows what it ran with.'
  const lap = useLapProjections(`debrief:${run.runId}`, ground?.key ?? '', none)
  const lacks = ground?.basis.lacks.map((l) => l.what) ?? []
  const figures = lap.problem === null ? (lap.projections?.figures ?? []) : []
  const cells = ground?.basis.inputs.find((i) => i.id === 'cells')?.value ?? 2
  return {
    rows: measuredBeside(view, run.runId, figures, {
      run: run.run,
      cells,
      raceSeconds: ground?.basis.raceSeconds ?? 300,
    }),
    inputs: ground?.basis.inputs ?? [],
    problem:
      lap.problem ??
      (lacks.length
        ? `Projections need ${lacks.join(', ')}.`
        : ground?.basis.segments
          ? null
          : 'Projections need the track, drawn once.'),
    isRough: lap.roughly || lap.stale || lap.projections === null,
    retry: lap.retry,
  }
}
