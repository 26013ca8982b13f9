import type { ChargeOption, ChargePack, ChargePlanInput, ChargeRun, Pin } from './charge-types'

/**
 * A fact that can be set aside to find out what makes a day impossible:
 * `need:<run>`, `pack:<pack>` (it does one thing at a time), `channels:<group>`, `supply:<id>`, `hands`, `coolDown`,
 * `rest`, `held` (no longer full than allowed), `pin:<id>`.
 */
export type FactId = string

/** Charging options counted in whole steps of the clock. */
export interface StepOption {
  steps: number
  amps: number
  watts: number
}

export interface InstanceRun {
  run: ChargeRun
  /** A charge must end at this step or before. */
  ready: number
  /** The pack can be charged again from this step. */
  again: number
  fits: Map<string, number>
  pins: Pin[]
}

export interface InstancePack {
  pack: ChargePack
  available: number
  first: StepOption[]
  later: StepOption[]
  wearBand: number
}

/** Channels that are the same to the plan: which of them is decided afterwards. */
export interface ChannelGroup {
  /** Also the name of the fact: `channels:<id>`. */
  id: string
  channelIds: string[]
  /** Per channel, in the order of `channelIds`: the step from which it is free. */
  from: number[]
  until: number
  maxAmps: number
  maxWatts: number
  supplyId: string
}

export interface ChargeInstance {
  input: ChargePlanInput
  dropped: ReadonlySet<FactId>
  stepMs: number
  now: number
  runs: InstanceRun[]
  packs: InstancePack[]
  groups: ChannelGroup[]
  maxHeldSteps: number
  allowanceSteps: number
}

/** Packs are as worn as one another within this many cycles; a band beyond counts like a use more today. */
const CYCLES_PER_BAND = 20
const HIGHEST_BAND = 5
/** A charge that begins within this many steps of what people know has not moved. */
export const UNMOVED_STEPS = 2

/** The wear band of every pack: 0 for the freshest of them. */
export function wearBands(packs: readonly ChargePack[]): Map<string, number> {
  const least = Math.min(...packs.map((p) => p.cycles))
  return new Map(
    packs.map((p) => [p.id, Math.min(HIGHEST_BAND, Math.floor((p.cycles - least) / CYCLES_PER_BAND))]),
  )
}

const inSteps = (options: readonly ChargeOption[], stepSeconds: number): StepOption[] => {
  const best = new Map<number, StepOption>()
  for (const o of options) {
    const steps = Math.max(1, Math.ceil(o.seconds / stepSeconds))
    const held = best.get(steps)
    // Same steps for fewer amperes and watts is never worse; anything else is a real choice.
    if (!held || (o.amps <= held.amps && o.watts <= held.watts))
      best.set(steps, { steps, amps: o.amps, watts: o.watts })
  }
  return [...best.values()].sort((a, b) => a.steps - b.steps)
}

/** Puts a day on the clock of whole steps, with some facts set aside. */
export function chargeInstance(
  input: ChargePlanInput,
  dropped: ReadonlySet<FactId> = new Set(),
): ChargeInstance {
  const { rules } = input
  const stepMs = rules.stepSeconds * 1000
  const down = (ms: number): number => Math.floor(ms / stepMs)
  const up = (ms: number): number => Math.ceil(ms / stepMs)
  const rest = dropped.has('rest') ? 0 : rules.restSeconds * 1000
  const cool = dropped.has('coolDown') ? 0 : rules.coolDownSeconds * 1000
  const pins = input.pins.filter((p) => !dropped.has(`pin:${p.id}`))
  const bands = wearBands(input.packs)
  const known = new Set(input.packs.map((p) => p.id))
  const runs = input.runs
    .filter((r) => !dropped.has(`need:${r.id}`))
    .map((run): InstanceRun => ({
      run,
      ready: down(run.readyBy - rest),
      again: up(Math.max(run.freeAt, run.readyBy) + cool),
      fits: new Map(run.fits.filter((f) => known.has(f.packId)).map((f) => [f.packId, f.mismatch])),
      pins: pins.filter((p) => p.runId === run.id),
    }))
    .sort((a, b) => a.run.readyBy - b.run.readyBy)
  return {
    input,
    dropped,
    stepMs,
    now: up(input.now),
    runs,
    packs: input.packs.map((pack) => ({
      pack,
      available: up(Math.max(pack.availableFrom, pack.state === 'full' ? pack.availableFrom : input.now)),
      first: pack.state === 'full' ? [] : inSteps(pack.firstCharge, rules.stepSeconds),
      later: inSteps(pack.afterRun, rules.stepSeconds),
      wearBand: bands.get(pack.id) ?? 0,
    })),
    groups: channelGroups(input, up, down),
    maxHeldSteps: dropped.has('held')
      ? Number.MAX_SAFE_INTEGER
      : Math.floor(rules.maxHeldSeconds / rules.stepSeconds),
    allowanceSteps: Math.floor(rules.heldAllowanceSeconds / rules.stepSeconds),
  }
}

function channelGroups(
  input: ChargePlanInput,
  up: (ms: number) => number,
  down: (ms: number) => number,
): ChannelGroup[] {
  // A channel that somebody pinned is a group of its own, whether or not the pin is set aside: facts keep their names.
  const pinned = new Set(input.pins.map((p) => p.channelId))
  const groups = new Map<string, ChannelGroup>()
  for (const c of input.channels) {
    const busyUntil = Math.max(
      input.now,
      c.from ?? 0,
      ...input.ongoing.filter((o) => o.channelId === c.id).map((o) => o.until),
    )
    const until = c.until === undefined ? Number.MAX_SAFE_INTEGER : down(c.until)
    const key = pinned.has(c.id) ? c.id : `${c.supplyId}/${c.maxAmps}/${c.maxWatts}/${until}`
    const group = groups.get(key)
    if (group) {
      group.channelIds.push(c.id)
      group.from.push(up(busyUntil))
    } else
      groups.set(key, {
        id: c.id,
        channelIds: [c.id],
        from: [up(busyUntil)],
        until,
        maxAmps: c.maxAmps,
        maxWatts: c.maxWatts,
        supplyId: c.supplyId,
      })
  }
  return [...groups.values()]
}

/** Channels of a group that are free of earlier charges at a step. */
export const capacityAt = (group: ChannelGroup, step: number): number =>
  step >= group.until ? 0 : group.from.filter((f) => f <= step).length

/** Power of a supply left at a step beside the charges under way. */
export function powerAt(instance: ChargeInstance, supplyId: string, step: number): number {
  const { input, stepMs } = instance
  const supply = input.supplies.find((s) => s.id === supplyId)
  if (!supply) return 0
  const channels = new Set(input.channels.filter((c) => c.supplyId === supplyId).map((c) => c.id))
  const used = input.ongoing
    .filter((o) => channels.has(o.channelId) && Math.ceil(o.until / stepMs) > step)
    .reduce((sum, o) => sum + o.watts, 0)
  return Math.max(0, supply.maxWatts - used)
}

/** Hands for putting packs on charge within a step; Infinity when they are no limit. */
export function handsAt(instance: ChargeInstance, step: number): number {
  const { rules } = instance.input
  if (rules.handsPerStep === null || instance.dropped.has('hands')) return Infinity
  const from = step * instance.stepMs
  const to = from + instance.stepMs
  const busy = (rules.handsBusy ?? []).filter((b) => b.from < to && b.to > from).map((b) => b.hands)
  return Math.min(rules.handsPerStep, ...busy)
}

/** Steps that a pack full from `end` waits beyond the allowance. */
export const heldSteps = (instance: ChargeInstance, run: InstanceRun, end: number): number =>
  Math.max(0, run.ready - end - instance.allowanceSteps)

/** Packs of one class charge alike. */
export const chargeClass = (options: readonly StepOption[]): string => JSON.stringify(options)

/** A pack that charges now as it does after a run has one role, not two: its timeline begins when it is available. */
export const alike = (p: InstancePack): boolean =>
  p.pack.state === 'empty' && chargeClass(p.first) === chargeClass(p.later)
