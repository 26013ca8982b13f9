/**
 * What the charge plan is made from and what it says. Times are ms since the epoch, durations seconds and named so.
 *
 * The rules of a plan (the model, the checker and the tests' exhaustive search each implement them on their own):
 * 1. Every run has exactly one pack out of those that fit it.
 * 2. A charge begins on a step of the clock (`stepSeconds`, counted from the epoch) and takes whole steps, its
 *    duration rounded up: people do not act to the second, and the rounding is the reserve.
 * 3. A charge ends at least `restSeconds` before the pack must be ready, and no more than `maxHeldSeconds` plus the
 *    rest before it: full packs must not wait long. A pack that is full to begin with is exempt.
 * 4. A pack that is full (from the step after `availableFrom`) can power one run without a charge, its first. Every
 *    other use follows its own charge, for which the pack must be available, off the car and cooled down
 *    (`coolDownSeconds`).
 * 5. A pack does one thing at a time: from the start of its charge to the end of its run and cool-down.
 * 6. A channel charges one pack at a time, within its current and power; a supply never gives more than its power.
 * 7. No more charges begin within one step than there are hands for it.
 * 8. Pins hold.
 */
export interface ChargePlanInput {
  now: number
  runs: readonly ChargeRun[]
  packs: readonly ChargePack[]
  channels: readonly ChargerChannel[]
  supplies: readonly PowerSupply[]
  /** Charges under way: their channel and power are taken until they end. */
  ongoing: readonly OngoingCharge[]
  pins: readonly Pin[]
  rules: ChargeRules
  /** The plan that people know, if any: differing from it has a cost. */
  known: KnownUse[] | null
  /** Which goals come first; absent: `defaultGoals`. */
  goals?: readonly Goal[]
}

export interface ChargeRules {
  /** The step of the clock on which charges begin; 300 suits a pit. */
  stepSeconds: number
  coolDownSeconds: number
  restSeconds: number
  maxHeldSeconds: number
  /** Waiting full for this long counts for nothing: it is the margin against a heat called early. */
  heldAllowanceSeconds: number
  /** Charges that can be put on within one step; null when hands are no limit. */
  handsPerStep: number | null
  /** Times with fewer hands (everybody drives or marshals). */
  handsBusy?: readonly { from: number; to: number; hands: number }[]
}

/** A run that needs a pack. */
export interface ChargeRun {
  id: string
  /** As people call it: "Heat 3, blue car". */
  label: string
  /** When a charged and rested pack must be at hand to be fitted. */
  readyBy: number
  /** When the pack is out of the car again. */
  freeAt: number
  /** How much the right pack matters: a whole number, 0 for practice, more for qualifying, most for finals. */
  importance: number
  /** The packs that fit and are legal, each with its mismatch: a whole number, 0 for the best. */
  fits: readonly { packId: string; mismatch: number }[]
  /** Share of a whole charge that this run starts on, up to 1; absent: 1. Its charge takes that share of the steps. */
  chargeShare?: number
}

export interface ChargePack {
  id: string
  label: string
  /** `full`: at its legal charge now (or when its ongoing charge ends); `empty`: must be charged before any use. */
  state: 'full' | 'empty'
  /** The earliest moment at which it can be charged (empty) or fitted (full): cooled down, brought along, charged. */
  availableFrom: number
  /** Charge cycles in its life so far. */
  cycles: number
  /** Ways of charging it from how it is now; unused for a full pack. */
  firstCharge: readonly ChargeOption[]
  /** Ways of charging it after a run. */
  afterRun: readonly ChargeOption[]
}

/** One way of charging a pack, bounded beforehand by the pack's own highest C rate. */
export interface ChargeOption {
  amps: number
  /** The most that it draws from the supply. */
  watts: number
  /** Start to full, putting on and taking off included. */
  seconds: number
}

export interface ChargerChannel {
  id: string
  label: string
  supplyId: string
  maxAmps: number
  maxWatts: number
  from?: number
  until?: number
}

/** A socket, a generator or a battery that several channels share. */
export interface PowerSupply {
  id: string
  label: string
  maxWatts: number
}

export interface OngoingCharge {
  packId: string
  channelId: string
  until: number
  watts: number
}

/** A choice made by a person that the plan must keep. Fields left out stay free. */
export interface Pin {
  id: string
  runId: string
  packId?: string
  channelId?: string
  /** Start of the charge. */
  startAt?: number
}

export type Goal = 'match' | 'cycles' | 'held' | 'changes'

/** One run's part of a plan. */
export interface PlannedUse {
  runId: string
  packId: string
  /** Null when the pack is full to begin with. */
  charge: PlannedCharge | null
}

export interface PlannedCharge {
  channelId: string
  startAt: number
  endAt: number
  amps: number
  watts: number
}

export type KnownUse = PlannedUse

/** What a plan costs under each goal, in whole units; smaller is better. */
export interface GoalValues {
  /** Mismatch times importance, summed over runs. */
  match: number
  /** Sum over packs of (wear band + uses)², less its value before the day: small when use is spread. */
  cycles: number
  /** Whole steps that packs wait full beyond the allowance. */
  held: number
  /** Two for each run whose pack differs from the known plan, one for each whose charge moved. */
  changes: number
}

export const defaultGoals: readonly Goal[] = ['match', 'cycles', 'held', 'changes']
/** When the day has moved, what people know comes first, and what is better only after it. */
export const replanGoals: readonly Goal[] = ['changes', 'match', 'cycles', 'held']

export interface GoalProof {
  goal: Goal
  value: number
  /** No plan that is as good in the goals before this one can be below this. */
  bound: number
  proven: boolean
}

export interface ChargePlan {
  uses: PlannedUse[]
  values: GoalValues
  proof: GoalProof[]
  /** True when every goal is proven: no plan is better in the order of the goals. */
  proven: boolean
  /** Packs that are not at their storage level when the plan is done, and what each needs. */
  afterDay: { packId: string; need: 'discharge' | 'charge' }[]
}

export type ChargePlanOutcome =
  | { kind: 'planned'; plan: ChargePlan; seconds: number }
  /** Proven: no plan exists on this clock. Ask `explainImpossible` for the reason. */
  | { kind: 'impossible'; seconds: number }
  /** Time ran out before a plan was found or its absence proven. */
  | { kind: 'undecided'; seconds: number }
