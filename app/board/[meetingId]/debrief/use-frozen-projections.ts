'use client'
import { useState } from 'react'
import { frozenTrial, ProjectionMemo, type Beside, type ProjectionInput, measuredBeside } from '@/lib/card'
import { useLapProjections } from '../../../card/projection-context'
import type { PartProps } from './part-props'

/** What the run's frozen setup was projected to do, beside what was measured. */
export function useFrozenProjections({ day, run }: PartProps): {
  rows: Beside[]
  inputs: readonly ProjectionInput[]
  /** Why nothing is projected; null when something is, or is being worked on. */
  problem: string | null
  isRough: boolean
  retry?: (() => void) | undefined
} {
  // A memory of its own: the card's holds today's values.
  const [memo] = useState(() => new ProjectionMemo())
  const trial = frozenTrial(day.view, run.carId, run)
  const [stable, setStable] = useState(trial)
  const same = JSON.stringify(stable) === JSON.stringify(trial)
  if (!same) setStable(trial)
  const ground = memo.groundOf(day.view, run.carId, run, (same ? stable : trial) ?? undefined)
  const none = trial ? null : 'No record was saved at the start, so nobody knows what it ran with.'
  const lap = useLapProjections(`debrief:${run.runId}`, ground.key, none)
  const lacks = ground.basis.lacks.map((l) => l.what)
  const figures = lap.problem === null ? (lap.projections?.figures ?? []) : []
  const cells = ground.basis.inputs.find((i) => i.id === 'cells')?.value ?? 2
  return {
    rows: measuredBeside(day.view, run.runId, figures, {
      run: run.run,
      cells,
      raceSeconds: ground.basis.raceSeconds,
    }),
    inputs: ground.basis.inputs,
    problem:
      lap.problem ??
      (lacks.length
        ? `Projections need ${lacks.join(', ')}.`
        : ground.basis.segments
          ? null
          : 'Projections need the track, drawn once.'),
    isRough: lap.roughly || lap.stale || lap.projections === null,
    retry: lap.retry,
  }
}
