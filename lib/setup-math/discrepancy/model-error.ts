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
 * Priors, set on twenty simulated seasons of the referee with its seeds to build with, and rounded; common practice, no source. The projection drives at the
 * grip all the way round with a full trigger, and drivers do not: laps come out longer, and charge, heat and sag less, by what stands here.
 */
export const errorPriors: Readonly<Record<ErrorFigure, ErrorPrior>> = {
  charge: { mean: -0.25, surface: 0.03, carClass: 0.03, car: 0.04, run: 0.04, inputs: 0.18 },
  canRise: { mean: -0.35, surface: 0.04, carClass: 0.04, car: 0.06, run: 0.085, inputs: 0.25 },
  lowSag: { mean: -0.17, surface: 0.03, carClass: 0.03, car: 0.05, run: 0.055, inputs: 0.19 },
  endDrop: { mean: -0.25, surface: 0.02, carClass: 0.02, car: 0.03, run: 0.085, inputs: 0.17 },
  topSpeed: { mean: -0.06, surface: 0.015, carClass: 0.015, car: 0.025, run: 0.026, inputs: 0.08 },
  lap: { mean: 0.08, surface: 0.02, carClass: 0.02, car: 0.035, run: 0.02, inputs: 0.08 },
}

/** A measured figure over its projection. */
export interface ErrorRecord {
  surface: string
  carClass: string
  car: string
  logRatio: number
}

/** What the next run's log-ratio may be: `mean`, and the deviation of what is common to all runs of the car and of one run. */
export interface ErrorPosterior {
  mean: number
  /** Share of the common variance (inputs and model error) that the records have left. */
  left: number
  /** How many records of this very car count, each less where it lies far off. */
  ownRecords: number
}
