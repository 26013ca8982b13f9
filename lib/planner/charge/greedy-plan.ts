import type { InstancePack, InstanceRun } from './charge-instance'
import { capacityAt, chargeInstance, handsAt, powerAt } from './charge-instance'
import type { ChargePlanInput, PlannedUse } from './charge-types'

/**
 * What a careful person would do without a solver, for comparison: take the runs in order of time, give each the best
 * fitting pack that can be ready, and put it on charge as late as a channel allows. Never looks ahead.
 *
 * @returns the uses, with `failed` naming the first run for which no pack was left, if any.
 */
export function greedyPlan(input: ChargePlanInput): { uses: PlannedUse[]; failed: string | null } {
  const instance = chargeInstance(input)
  const uses: PlannedUse[] = []
  const state = new Map<InstancePack, { free: number; uses: number }>()
  const busy: { channelId: string; from: number; to: number; watts: number; supplyId: string }[] = []

  const slot = (run: InstanceRun, pack: InstancePack): PlannedUse['charge'] | undefined => {
    const before = state.get(pack)
    const options = before || pack.pack.state === 'full' ? pack.later : pack.first
    const earliest = Math.max(instance.now, before ? before.free : pack.available)
    const share = run.run.chargeShare ?? 1
    // The latest start of any option: a slow charge is tried before a fast one of the same start.
    for (let end = run.ready; end >= run.ready - instance.maxHeldSteps; end--) {
      if (end - 1 < earliest) break
      for (const option of [...options].reverse()) {
        const steps = Math.max(1, Math.ceil(option.steps * share))
        const start = end - steps
        if (start < earliest) continue
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
              !busy.some((b) => b.channelId === id && b.from < end && start < b.to),
          )
          if (!powered || channel === undefined) continue
          busy.push({
            channelId: channel,
            from: start,
            to: end,
            watts: option.watts,
            supplyId: group.supplyId,
          })
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

  for (const run of instance.runs) {
    const fitting = instance.packs
      .filter((p) => run.fits.has(p.pack.id))
      .sort(
        (a, b) =>
          (run.fits.get(a.pack.id) ?? 0) - (run.fits.get(b.pack.id) ?? 0) ||
          (state.get(a)?.uses ?? 0) - (state.get(b)?.uses ?? 0) ||
          a.wearBand - b.wearBand,
      )
    let done = false
    for (const pack of fitting) {
      const before = state.get(pack)
      const isFull = !before && pack.pack.state === 'full'
      if (isFull ? pack.available > run.ready : before && before.free > run.ready) continue
      const charge = isFull ? null : slot(run, pack)
      if (charge === undefined) continue
      uses.push({ runId: run.run.id, packId: pack.pack.id, charge })
      state.set(pack, { free: run.again, uses: (before?.uses ?? 0) + 1 })
      done = true
      break
    }
    if (!done) return { uses, failed: run.run.id }
  }
  return { uses, failed: null }
}
