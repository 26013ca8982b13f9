import { figureText } from '@/lib/core/figure-text'
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

/** What the board's screens can be told after a run; the others are known to the math and entered nowhere. */
export const SHOWN_FIGURES: readonly ErrorFigure[] = ['lap', 'charge', 'canRise']

/** A log-ratio as the share that it is off by, without its sign: `12.5%`. */
export const percentOff = (log: number): string =>
  `${figureText(100 * Math.abs(Math.expm1(log)), { digits: 1 })}%`
