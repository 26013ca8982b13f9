/**
 * The model's own error: what is measured over what is projected, in logarithms, per figure. A prior by surface, car class and car, and what a record adds
 * on the day. Source: Kennedy, O'Hagan, J. Roy. Stat. Soc. B 63 (2001) 425-464; Brynjarsdottir, O'Hagan, Inverse Problems 30 (2014) 114007 (from memory).
 */
export const errorFigures = ['charge', 'canRise', 'lowSag', 'endDrop', 'topSpeed', 'lap'] as const
export type ErrorFigure = (typeof errorFigures)[number]

/** Logarithms. `mean` is what is left out on average; the others are one deviation each, on top of each other. */
export interface ErrorPrior {
  mean: number
  surface: number
  carClass: number
  car: number
  /** From run to run of one car: day, driver, reading. */
  run: number
  /** One deviation that the inputs' own uncertainty usually adds, the same for all runs of a car: weighs records before it is worked out. */
  inputs: number
}

/**
 * Priors. Common practice, no source, except for what they rest on:
 *
 * Means. Two grounds speak about the charge, and they disagree: a power balance of a 4WD modified car term by term leaves 1.06 times the sum of the terms, the
 * referee's seasons (seeds to build with) 0.85 times. A measured 1/10 car at steady speeds agrees within 3%. So nothing is taken off: a mean below zero would
 * show less charge used, less sag and less heat than may be. The can is 0.1 lower: all that braking leaves over is counted into it. Laps are 0.02 longer, since
 * no driver is at the limit everywhere.
 *
 * Deviations hold both grounds. From run to run they are what runs of one car differ by on those seeds, with what charger, thermometer and clock add.
 */
export const errorPriors: Readonly<Record<ErrorFigure, ErrorPrior>> = {
  charge: { mean: 0, surface: 0.03, carClass: 0.03, car: 0.05, run: 0.04, inputs: 0.18 },
  canRise: { mean: -0.1, surface: 0.05, carClass: 0.05, car: 0.08, run: 0.075, inputs: 0.25 },
  lowSag: { mean: 0, surface: 0.02, carClass: 0.02, car: 0.03, run: 0.048, inputs: 0.18 },
  endDrop: { mean: 0, surface: 0.04, carClass: 0.04, car: 0.07, run: 0.075, inputs: 0.17 },
  topSpeed: { mean: 0, surface: 0.003, carClass: 0.003, car: 0.006, run: 0.02, inputs: 0.075 },
  lap: { mean: 0.02, surface: 0.01, carClass: 0.01, car: 0.02, run: 0.02, inputs: 0.08 },
}
