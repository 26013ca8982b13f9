/** A heat with its forecast times (ms since the epoch), in running order. */
export interface DutyHeat {
  id: string
  round: string
  /** As people call it: "Heat 3", "A final leg 2". */
  label: string
  expectedStart: number
  expectedFinish: number
  dropped?: boolean
}

/** A person's own run: who drives in which heat, and with which car. */
export interface OwnRun {
  heatId: string
  personId: string
  carId: string
}

/** Who marshals whom, as the meeting's rules have it. */
export type MarshalRule =
  /**
   * The drivers of a heat marshal the one that follows it. `firstHeatBy` says who marshals the first heat of a round:
   * the drivers of the last heat of that round, of the round before (of its own round when there is none), or nobody.
   */
  | { kind: 'afterOwn'; firstHeatBy: 'lastOfSameRound' | 'lastOfPreviousRound' | 'nobody' }
  /** A table on the notice board: the drivers of `driversOf` marshal `heatId`. */
  | { kind: 'table'; rows: readonly { heatId: string; driversOf: string }[] }
  /** The meeting has its own marshals. */
  | { kind: 'none' }

/** Somebody stands in for a driver in one heat; null: the duty is excused. */
export interface Substitution {
  heatId: string
  personId: string
  standInId: string | null
}

/** Work with a place in time: a mechanic's job, or a charge to be put on or taken off. */
export interface TimedJob {
  id: string
  personId: string
  /** In words, as the list shows it. */
  what: string
  /** When it must be begun and done (ms); the same instant for a single act. */
  from: number
  deadline: number
  kind: 'job' | 'chargeStart' | 'chargeStop' | 'swap'
}

export interface DutyInput {
  heats: readonly DutyHeat[]
  people: readonly { id: string; name: string; mayMarshal?: boolean }[]
  runs: readonly OwnRun[]
  rule: MarshalRule
  substitutions: readonly Substitution[]
  jobs: readonly TimedJob[]
  /** From the end of a marshal duty to the start of one's own next run; less is a clash. */
  minimumGapSeconds: number
  /** A driver stands at staging this long before the start, a marshal at the track. */
  stagingLeadSeconds: number
}

export interface MarshalDuty {
  heatId: string
  /** Whose duty it is by the rule. */
  owedBy: string
  /** Who will do it: the stand-in if there is one; null when excused. */
  doneBy: string | null
  /** The own heat that the duty comes from. */
  becauseOf: string
}

export type ClashKind = 'ownRun' | 'tooShort' | 'job' | 'twice'

export interface DutyClash {
  heatId: string
  personId: string
  kind: ClashKind
  /** The other thing: a heat for runs and other duties, a job otherwise. */
  otherId: string
  /** The two in one sentence. */
  words: string
}
