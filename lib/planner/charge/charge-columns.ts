import type { ChannelGroup, InstancePack, InstanceRun, StepOption } from './charge-instance'

/** A column of the program and its coefficient in a row. */
export type Entry = readonly [column: number, value: number]

/** One possible charge for a run, for any pack that charges alike. */
export interface ChargeColumn {
  column: number
  run: InstanceRun
  classKey: string
  option: StepOption
  group: ChannelGroup
  start: number
}

/** One pack powering one run. */
export interface UseColumn {
  column: number
  pack: InstancePack
  run: InstanceRun
  /** How it is charged for the run; null for a pack that is full to begin with. */
  classKey: string | null
  /** Before its first use a pack is in the state it came with. */
  first: boolean
  /** The pack can be charged from this step at the earliest. */
  earliest: number
  /** The latest step at which its charge can begin. */
  latest: number
}
