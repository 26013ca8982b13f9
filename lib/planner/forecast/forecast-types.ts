/** One heat of the running order, as the forecast needs it. Times are ms since the epoch, durations seconds. */
export interface ForecastHeat {
  id: string
  /** Name or number of the round; only carried through. */
  round: string
  /** The time on the published running order; null for a heat inserted without a time. */
  plannedStart: number | null
  /** Length of the race clock. */
  raceSeconds: number
  /** Stamped start; for a heat that was run again, the start that counted. */
  startedAt?: number | null
  /** Stamped finish (the last car over the line, or the heat stopped). */
  finishedAt?: number | null
  /** Taken out of the day: it keeps its place in the list so that its planned slot is known, but will not run. */
  dropped?: boolean
  /** Says for certain that a break comes before this heat (true) or none (false); absent: judged by the planned gap. */
  breakBefore?: boolean
  /** The shortest that the break before this heat can become; absent: a share of the planned break. */
  minBreakSeconds?: number
}

/** What is believed before the first stamp. Every field has a default (see `defaultPrior`). */
export interface ForecastPrior {
  /** The gap that the plan allows between the race clock running out and the next start; absent: the plan's median. */
  gapSeconds?: number
  /** How many seen gaps the plan weighs as much as. */
  worthGaps?: number
  /** The smallest share of a planned break that remains when the day runs late. */
  minBreakShare?: number
  /** Overrun of a heat past its race clock (cars finish their last lap). */
  overrunSeconds?: number
}

export type HeatStage =
  | 'finished'
  | 'running'
  /** No start stamp, but a later heat was stamped: it ran and the stamp was missed. */
  | 'assumed'
  | 'coming'
  | 'dropped'

export interface HeatForecast {
  id: string
  stage: HeatStage
  /** As likely to be later as earlier; the stamp itself once there is one; null for a dropped heat. */
  expectedStart: number | null
  /** Ends of the 90% interval of the start. */
  lowStart: number | null
  highStart: number | null
  expectedFinish: number | null
  /** The planned break before this heat, if any. */
  breakBefore: boolean
}

export interface RunningOrderForecast {
  heats: HeatForecast[]
  /** How much later (positive) than planned the next heat is expected; of the last heat once all have run. */
  driftSeconds: number
  /** The ordinary gap from the end of a race clock to the next start: learned mean and its 90% half-width. */
  gap: { meanSeconds: number; halfWidthSeconds: number; seen: number }
  /** Heats whose stamps contradict the order of time or the clock, and were not learned from. */
  doubted: string[]
}
