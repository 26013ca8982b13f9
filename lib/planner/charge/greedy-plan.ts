import type { InstancePack, InstanceRun } from './charge-instance'
import { capacityAt, chargeInstance, handsAt, powerAt } from './charge-instance'
import type { ChargePlanInput, PlannedCharge, PlannedUse } from './charge-types'

export interface GreedyOptions {
  /**
   * `late`: the best fitting pack, on charge as late as a channel allows. `soon`: whichever pack is charged first, on charge as soon as a
   * channel allows; packs wait full for longer, but a day that is short of channels goes further.
   */
  charge?: 'late' | 'soon'
  /** Go on past a run for which no pack is left. */
  skip?: boolean
}

/**
 * What a careful person would do without a solver, for comparison and to begin with: take the runs in order of time, give each a
 * fitting pack that can be ready. Never looks ahead.
 *
 * @returns the uses, with `failed` naming the first run for which no pack was left, if any, and `leftOut` all of them (the rest of the
 *   day, unless `skip`)
 */
export function greedyPlan(
  input: ChargePlanInput,
  { charge: how = 'late', skip = false }: GreedyOptions = {},
): { uses: PlannedUse[]; failed: string | null; leftOut: string[] } {
  const instance = chargeInstance(input)
  const uses: PlannedUse[] = []
  const leftOut: string[] = []
  const state = new Map<InstancePack, { free: number; uses: number }>()
  const busy: { channelId: string; from: number; to: number; watts: number; supplyId: string }[] = []

  const slot = (run: InstanceRun, pack: InstancePack): PlannedCharge | undefined => {
    const before = state.get(pack)
    const options = before || pack.pack.state === 'full' ? pack.later : pack.first
    const earliest = Math.max(instance.now, before ? before.free : pack.available)
    const share = run.run.chargeShare ?? 1
    const soonest = Math.max(earliest + 1, run.ready - instance.maxHeldSteps)
    for (let k = 0; k <= run.ready - soonest; k++) {
      const end = how === 'late' ? run.ready - k : soonest + k
      // A slow charge is tried before a fast one.
      for (const option of [...options].reverse()) {
        const steps = Math.max(1, Math.ceil(option.steps * share))
        const start = end - steps
        if (start < earliest || !mayBegin(run, start)) continue
        if (busy.filter((b) => b.from === start).length >= handsAt(instance, start)) continue
        for (const group of instance.groups) {
          if (option.amps > group.maxAmps || option.watts > group.maxWatts) continue
          const on = (step: number) => busy.filter((b) => b.from <= step && step < b.to)
          const within = Array.from({ length: steps }, (_, i) => start + i)
          const powered = within.every(
            (step) =>
              capacityAt(group, step) > 0 &&
              on(step)
                .filter((b) => b.supplyId === group.supplyId)
                .reduce((w, b) => w + b.watts, option.watts) <= powerAt(instance, group.supplyId, step),
          )
          const channel = group.channelIds.find(
            (id, i) =>
              (group.from[i] ?? 0) <= start &&
              run.pins.every((pin) => !pin.channelId || pin.channelId === id) &&
              !busy.some((b) => b.channelId === id && b.from < end && start < b.to),
          )
          if (!powered || channel === undefined) continue
          return {
            channelId: channel,
            startAt: start * instance.stepMs,
            endAt: end * instance.stepMs,
            amps: option.amps,
            watts: option.watts,
          }
        }
      }
    }
    return undefined
  }

  const mayBegin = (run: InstanceRun, start: number): boolean =>
    run.pins.every((pin) => pin.startAt === undefined || Math.round(pin.startAt / instance.stepMs) === start)
  const needsCharge = (run: InstanceRun): boolean =>
    run.pins.some((pin) => pin.channelId !== undefined || pin.startAt !== undefined)
  const take = (run: InstanceRun, pack: InstancePack, charge: PlannedCharge | null): void => {
    uses.push({ runId: run.run.id, packId: pack.pack.id, charge })
    if (charge)
      busy.push({
        channelId: charge.channelId,
        from: charge.startAt / instance.stepMs,
        to: charge.endAt / instance.stepMs,
        watts: charge.watts,
        supplyId: input.channels.find((c) => c.id === charge.channelId)?.supplyId ?? '',
      })
    state.set(pack, { free: run.again, uses: (state.get(pack)?.uses ?? 0) + 1 })
  }

  const isFresh = (pack: InstancePack): boolean => pack.pack.state === 'full' && !state.has(pack)

  for (const run of instance.runs) {
    const fitting = instance.packs
      .filter(
        (p) => run.fits.has(p.pack.id) && run.pins.every((pin) => !pin.packId || pin.packId === p.pack.id),
      )
      .sort(
        (a, b) =>
          (how === 'soon' ? Number(isFresh(b)) - Number(isFresh(a)) : 0) ||
          (run.fits.get(a.pack.id) ?? 0) - (run.fits.get(b.pack.id) ?? 0) ||
          (state.get(a)?.uses ?? 0) - (state.get(b)?.uses ?? 0) ||
          a.wearBand - b.wearBand,
      )
    let found: { pack: InstancePack; charge: PlannedCharge | null } | null = null
    for (const pack of fitting) {
      const before = state.get(pack)
      const isFull = !before && pack.pack.state === 'full'
      if (isFull ? pack.available > run.ready || needsCharge(run) : before && before.free > run.ready)
        continue
      const charge = isFull ? null : slot(run, pack)
      if (charge === undefined) continue
      if (!found || endOf(charge) < endOf(found.charge)) found = { pack, charge }
      if (how === 'late' || isFull) break
    }
    if (found) take(run, found.pack, found.charge)
    else {
      leftOut.push(run.run.id)
      if (!skip) break
    }
  }
  const failed = leftOut[0] ?? null
  if (!skip && failed !== null) leftOut.push(...instance.runs.slice(uses.length + 1).map((r) => r.run.id))
  return { uses, failed, leftOut }
}

/** A full pack was ready before any that is charged. */
const endOf = (charge: PlannedCharge | null): number => charge?.endAt ?? -Infinity
