import type { ErrorFigure } from '../setup-math'

/** Whose a reading is: what readings share of the prior goes by it. The cards hand in one car's own, which share all of it. */
export interface Who {
  surface: string
  carClass: string
  car: string
}

/** One figure as it was measured after a run, over what the model says of that run, as a logarithm. */
export interface Reading extends Who {
  /** The run's id: one record may hold several readings. */
  record: string
  /** When, ms since the epoch: widening by past predictions goes in this order; nothing else does. */
  at: number
  figure: ErrorFigure
  logRatio: number
}

/**
 * What one standard deviation of each of the car's inputs does to the logarithm of each figure. It ties the figures together: a lap that is slow for want of
 * grip also says something of the charge.
 */
export type Slopes = Readonly<Record<ErrorFigure, Readonly<Record<string, number>>>>

/** Equal for the same readings in whatever order they come: by time, then by record and figure. */
export const inOrder = (readings: readonly Reading[]): Reading[] =>
  readings
    .filter((r) => Number.isFinite(r.logRatio))
    .sort(
      (a, b) =>
        a.at - b.at || compare(a.record, b.record) || compare(a.figure, b.figure) || a.logRatio - b.logRatio,
    )

const compare = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0)
