import type { ChargeColumn, Entry, UseColumn } from './charge-columns'
import type { ChannelGroup, ChargeInstance, InstancePack, InstanceRun, StepOption } from './charge-instance'
import { UNMOVED_STEPS, alike, capacityAt, chargeClass, handsAt, heldSteps, powerAt } from './charge-instance'
import type { Goal, KnownUse } from './charge-types'
import { cycleColumns, packRows } from './pack-rows'
import type { Milp } from '../solver/milp'
import { MilpBuilder } from '../solver/milp'

export interface ChargeModel {
  milp: Milp
  /** The first columns and rows of the program, which know of packs and runs only: a small relaxation of its own. */
  packPart: { columns: number; rows: number }
  uses: UseColumn[]
  charges: ChargeColumn[]
  /** Cost of each goal by column, in the units of `goal-costs`. */
  costs: Record<Goal, Map<number, number>>
}

interface ClassOfRun {
  run: InstanceRun
  classKey: string
  members: { use: number; earliest: number }[]
  charges: Omit<ChargeColumn, 'column'>[]
}

/**
 * The charge plan as a mixed-integer program.
 *
 * Columns. `use`: pack p powers run r. `charge`: run r is charged with this option on this kind of channel from this
 * step, by any pack that charges alike (packs that charge alike are one class, channels that are alike one group, so
 * that neither makes copies of the same plan).
 *
 * Rows. Each run has one pack; its charge is one of the pack's class. Each pack's uses follow one another with room
 * for at least the shortest charge: a flow through time (not begun, busy, idle) for each pack. All packs of a class together are never more busy than there are of them. Channels, power and
 * hands are one row per step.
 *
 * What the rows leave out is that a pack's own charge for run j begins after its own run i ended; `timingCuts` adds
 * that for the pairs where a solution breaks it. Without those the program is a relaxation, so whatever it proves
 * impossible or bounds from below is so for the whole problem; so is its pack part by itself.
 */
export function chargeModel(instance: ChargeInstance): ChargeModel {
  const b = new MilpBuilder()
  const uses: UseColumn[] = []
  const charges: ChargeColumn[] = []
  const classes: ClassOfRun[] = []
  const costs: ChargeModel['costs'] = {
    match: new Map(),
    cycles: new Map(),
    held: new Map(),
    changes: new Map(),
  }
  const add = (goal: Goal, column: number, cost: number): void => {
    if (cost !== 0) costs[goal].set(column, (costs[goal].get(column) ?? 0) + cost)
  }
  const known = new Map(instance.input.known?.map((k) => [k.runId, k]))
  for (const run of instance.runs) {
    const usable = instance.packs.filter(
      (p) => run.fits.has(p.pack.id) && run.pins.every((pin) => !pin.packId || pin.packId === p.pack.id),
    )
    const before = known.get(run.run.id)
    const covers: Entry[] = []
    const addUse = (use: Omit<UseColumn, 'column' | 'run'>): number => {
      const column = b.column(1)
      uses.push({ column, run, ...use })
      covers.push([column, 1])
      add('match', column, run.run.importance * (run.fits.get(use.pack.pack.id) ?? 0))
      if (before && before.packId !== use.pack.pack.id) add('changes', column, 2)
      return column
    }
    // Full packs need no charge, unless a pin asks for one.
    if (run.pins.every((p) => !p.channelId && p.startAt === undefined))
      for (const pack of usable) {
        if (pack.pack.state !== 'full' || pack.available > run.ready) continue
        const at = pack.available
        const column = addUse({ pack, classKey: null, first: true, earliest: at, latest: at })
        add('held', column, heldSteps(instance, run, at))
        if (before?.charge) add('changes', column, 1)
      }
    const roles = usable.flatMap((pack) => rolesOf(instance, pack).map((role) => ({ pack, ...role })))
    for (const classKey of new Set(roles.map((r) => r.classKey))) {
      const own = roles.filter((r) => r.classKey === classKey)
      const earliest = Math.min(...own.map((m) => m.earliest))
      const found = chargesFor(instance, run, classKey, own[0]?.options ?? [])
      const possible = found.filter((c) => c.start >= earliest)
      if (possible.length === 0) continue
      const latest = possible.reduce((l, c) => Math.max(l, c.start), -Infinity)
      const members = own
        .filter((m) => m.earliest <= latest)
        .map((m) => ({
          use: addUse({ pack: m.pack, classKey, first: m.first, earliest: m.earliest, latest }),
          earliest: m.earliest,
        }))
      classes.push({ run, classKey, members, charges: possible })
    }
    b.row(1, 1, covers)
  }
  packRows(instance, b, uses)
  cycleColumns(instance, b, uses, (column, cost) => add('cycles', column, cost))
  const packPart = { columns: b.milp.cost.length, rows: b.milp.rowLower.length }

  for (const { run, members, charges: possible } of classes) {
    const before = known.get(run.run.id)
    const link: Entry[] = members.map((m) => [m.use, 1])
    const columns = possible.map((c) => {
      const column = b.column(1)
      charges.push({ ...c, column })
      link.push([column, -1])
      add('held', column, heldSteps(instance, run, c.start + c.option.steps))
      if (before && movedFrom(before, c.start, instance.stepMs)) add('changes', column, 1)
      return { column, start: c.start }
    })
    b.row(0, 0, link)
    // A pack that becomes available within the window is not charged before.
    for (const m of members) {
      const tooSoon = columns.filter((c) => c.start < m.earliest)
      if (tooSoon.length) b.row(-Infinity, 1, [[m.use, 1], ...tooSoon.map((c): Entry => [c.column, 1])])
    }
  }
  classRows(instance, b, uses, charges)
  channelRows(instance, b, charges)
  return { milp: b.milp, packPart, uses, charges, costs }
}

const movedFrom = (before: KnownUse, start: number, stepMs: number): boolean =>
  before.charge === null || Math.abs(before.charge.startAt / stepMs - start) > UNMOVED_STEPS

interface Role {
  classKey: string
  options: StepOption[]
  first: boolean
  earliest: number
}

function rolesOf(instance: ChargeInstance, p: InstancePack): Role[] {
  const start = Math.max(instance.now, p.available)
  const later: Role = { classKey: chargeClass(p.later), options: p.later, first: false, earliest: start }
  if (alike(p)) return [later]
  const roles: Role[] = []
  if (p.pack.state === 'empty')
    roles.push({ classKey: chargeClass(p.first), options: p.first, first: true, earliest: start })
  roles.push(later)
  return roles
}

function chargesFor(
  instance: ChargeInstance,
  run: InstanceRun,
  classKey: string,
  options: readonly StepOption[],
): Omit<ChargeColumn, 'column'>[] {
  const found: Omit<ChargeColumn, 'column'>[] = []
  for (const group of instance.groups) {
    if (run.pins.some((p) => p.channelId && !group.channelIds.includes(p.channelId))) continue
    const opens = Math.min(...group.from)
    for (const whole of options) {
      const option = { ...whole, steps: Math.max(1, Math.ceil(whole.steps * (run.run.chargeShare ?? 1))) }
      if (option.amps > group.maxAmps || option.watts > group.maxWatts) continue
      const latest = Math.min(run.ready, group.until) - option.steps
      const earliest = Math.max(instance.now, opens, run.ready - instance.maxHeldSteps - option.steps)
      if (!Number.isFinite(latest) || !Number.isFinite(earliest)) continue
      for (let start = earliest; start <= latest; start++) {
        if (
          run.pins.some((p) => p.startAt !== undefined && Math.round(p.startAt / instance.stepMs) !== start)
        )
          continue
        found.push({ run, classKey, option, group, start })
      }
    }
  }
  return found
}

/**
 * The packs of a class together: idle ones grow by the runs that end and shrink by the charges that begin, and are
 * never fewer than none. One balance for each moment at which a pack comes free keeps the rows sparse.
 */
function classRows(
  instance: ChargeInstance,
  b: MilpBuilder,
  uses: readonly UseColumn[],
  charges: readonly ChargeColumn[],
): void {
  const byClass = new Map<string, InstancePack[]>()
  for (const p of instance.packs) {
    const list = byClass.get(chargeClass(p.later)) ?? []
    list.push(p)
    byClass.set(chargeClass(p.later), list)
  }
  for (const [classKey, packs] of byClass) {
    if (packs.some((p) => instance.dropped.has(`pack:${p.pack.id}`))) continue
    // A first charge may look like one after a run of other packs; those columns say nothing of this class alone.
    if (uses.some((u) => u.first && u.classKey === classKey)) continue
    const own = charges.filter((c) => c.classKey === classKey)
    if (own.length === 0) continue
    const returning = uses.filter((u) => packs.includes(u.pack))
    const moments = [
      ...new Set([
        ...returning.map((u) => u.run.again),
        ...packs.filter(alike).map((p) => Math.max(instance.now, p.available)),
      ]),
    ].sort((x, y) => x - y)
    let before: number | null = null
    moments.forEach((moment, k) => {
      const next = moments[k + 1] ?? Infinity
      const fresh = packs.filter((p) => alike(p) && Math.max(instance.now, p.available) === moment).length
      const idle = b.column(packs.length)
      const entries: Entry[] = [[idle, -1]]
      if (before !== null) entries.push([before, 1])
      for (const u of returning) if (u.run.again === moment) entries.push([u.column, 1])
      for (const c of own) if (c.start >= moment && c.start < next) entries.push([c.column, -1])
      b.row(-fresh, -fresh, entries)
      before = idle
    })
    const tooSoon = own.filter((c) => c.start < (moments[0] ?? Infinity))
    if (tooSoon.length)
      b.row(
        -Infinity,
        0,
        tooSoon.map((c): Entry => [c.column, 1]),
      )
  }
}

/**
 * Channels, power and hands. Charges under way are counted per kind of channel and option from step to step (so many
 * begun, so many ended), which keeps a charge in two rows instead of one for each of its steps.
 */
export function channelRows(
  instance: ChargeInstance,
  b: MilpBuilder,
  charges: readonly ChargeColumn[],
): void {
  if (charges.length === 0) return
  const kinds = new Map<string, ChargeColumn[]>()
  const begun = new Map<number, Entry[]>()
  for (const c of charges) {
    push(kinds, `${c.group.id}/${c.option.steps}/${c.option.watts}`, c)
    push(begun, c.start, [c.column, 1] as const)
  }
  const running: { group: ChannelGroup; watts: number; at: Map<number, number> }[] = []
  for (const list of kinds.values()) {
    const [some] = list
    if (!some) continue
    const { group, option } = some
    const starts = new Map<number, number[]>()
    for (const c of list) push(starts, c.start, c.column)
    const low = Math.min(...starts.keys())
    const high = Math.max(...starts.keys()) + option.steps
    const at = new Map<number, number>()
    for (let step = low; step < high; step++) {
      const count = b.column(Infinity)
      const entries: Entry[] = [[count, -1]]
      const before = at.get(step - 1)
      if (before !== undefined) entries.push([before, 1])
      for (const column of starts.get(step) ?? []) entries.push([column, 1])
      for (const column of starts.get(step - option.steps) ?? []) entries.push([column, -1])
      b.row(0, 0, entries)
      at.set(step, count)
    }
    running.push({ group, watts: option.watts, at })
  }
  const low = Math.min(...running.map((r) => Math.min(...r.at.keys())))
  const high = Math.max(...running.map((r) => Math.max(...r.at.keys())))
  for (let step = low; step <= high; step++) {
    for (const group of instance.groups) {
      if (instance.dropped.has(`channels:${group.id}`)) continue
      const own = running.filter((r) => r.group === group)
      const entries = own.flatMap((r): Entry[] => (r.at.has(step) ? [[r.at.get(step) ?? 0, 1]] : []))
      if (entries.length) b.row(-Infinity, capacityAt(group, step), entries)
    }
    for (const supplyId of new Set(instance.groups.map((g) => g.supplyId))) {
      if (instance.dropped.has(`supply:${supplyId}`)) continue
      const own = running.filter((r) => r.group.supplyId === supplyId)
      const entries = own.flatMap((r): Entry[] => (r.at.has(step) ? [[r.at.get(step) ?? 0, r.watts]] : []))
      if (entries.length) b.row(-Infinity, powerAt(instance, supplyId, step), entries)
    }
  }
  for (const [step, entries] of begun) {
    const limit = handsAt(instance, step)
    if (limit < entries.length) b.row(-Infinity, limit, entries)
  }
}

const push = <K, V>(map: Map<K, V[]>, key: K, value: V): void => {
  const list = map.get(key)
  if (list) list.push(value)
  else map.set(key, [value])
}
