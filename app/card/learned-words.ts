import type { ErrorFigure } from '@/lib/setup-math'

/** What the figures that are learned of are called. */
export const LEARNED_FIGURES: Readonly<Record<ErrorFigure, string>> = {
  lap: 'Lap',
  charge: 'Charge used',
  canRise: 'Motor can above the air',
  endDrop: 'Drop at rest after the run',
  lowSag: 'Sag under load',
  topSpeed: 'Top speed',
}
