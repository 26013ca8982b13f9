/** How one round is scored. Rule numbers differ between bodies and years: everything here is data. */
export type RoundScore =
  /** Points by finishing position in the round; positions past the table get `beyond`. */
  | { kind: 'points'; table: readonly number[]; beyond: number; lowIsGood: boolean }
  /** The lap count and time itself: more laps, then less time. Counted rounds are added up. */
  | { kind: 'laps and time' }

/** How two drivers with equal totals are parted, tried in order. */
export type TieBreak =
  /** Best single score, then the second best, and so on through the counted ones. */
  | 'counted scores in turn'
  /** The same through the scores that were dropped. */
  | 'dropped scores in turn'
  /** Best lap count and time of a counted round, then the next. */
  | 'laps and times in turn'
  /** Score of the latest round that both drove. */
  | 'latest round'
  /** Order given from before (qualifying for finals). */
  | 'seeding'

export interface StandingsRule {
  score: RoundScore
  /** Best this many of the rounds count; all when absent. */
  counting?: number
  ties: readonly TieBreak[]
}

/** One driver in one round. Without laps and seconds the driver did not start. */
export interface RoundEntry {
  driver: string
  laps?: number
  seconds?: number
  /** The officials' position; computed from laps and seconds when absent. */
  position?: number
  /** Scores nothing and comes last; counts as a round. */
  disqualified?: boolean
}

export interface StandingsInput {
  rule: StandingsRule
  results: readonly { round: string; entries: readonly RoundEntry[] }[]
  /** Best first. */
  seeding?: readonly string[]
}

export interface ScoredRound {
  round: string
  /** Absent driver or no start: the worst score of the rule. */
  started: boolean
  position?: number
  points: number
  laps: number
  seconds: number
}

export interface Standing {
  place: number
  driver: string
  /** Sum of the counted points; laps under `laps and time`. */
  points: number
  laps: number
  seconds: number
  counted: ScoredRound[]
  dropped: ScoredRound[]
  /** What parted this driver from the next; absent when the totals did or the tie stands. */
  partedBy?: TieBreak
  /** Drivers that share the place. */
  tiedWith: string[]
}
