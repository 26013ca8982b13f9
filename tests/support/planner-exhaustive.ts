import type {
  ChargeOption,
  ChargePack,
  ChargePlanInput,
  ChargeRun,
  ChargerChannel,
  Goal,
} from '@/lib/planner'
import { defaultGoals } from '@/lib/planner'

/**
 * Every plan there is, tried one after another: each run in turn with each pack, way of charging, channel and step.
 * A branch is left only when a rule is broken or when it already costs as much as the best plan found (costs never
 * shrink). Works from the rules as written at `ChargePlanInput` and shares nothing with the model.
 *
 * @returns the least values in the order of the goals, or null when no plan exists.
 */
export function exhaustive(
  input: ChargePlanInput,
  dropped: ReadonlySet<string> = new Set(),
): number[] | null {
  const goals = input.goals ?? defaultGoals
  const { rules } = input
  const step = rules.stepSeconds * 1000
  const rest = dropped.has('rest') ? 0 : rules.restSeconds * 1000
  const cool = dropped.has('coolDown') ? 0 : rules.coolDownSeconds * 1000
  const runs = input.runs.filter((r) => !dropped.has(`need:${r.id}`)).sort((a, b) => a.readyBy - b.readyBy)
  const pins = input.pins.filter((p) => !dropped.has(`pin:${p.id}`))
  const fewest = Math.min(...input.packs.map((p) => p.cycles))
  const band = (p: ChargePack): number => Math.min(5, Math.floor((p.cycles - fewest) / 20))
  const known = new Map(input.known?.map((k) => [k.runId, k]))
  const groupOf = channelGroupNames(input)

  interface Placed {
    pack: ChargePack
    run: ChargeRun
    charge: { channel: ChargerChannel; option: ChargeOption; start: number; end: number } | null
  }
  const placed: Placed[] = []
  const cost: Record<Goal, number> = { match: 0, cycles: 0, held: 0, changes: 0 }
  let best: number[] | null = null
  const asVector = (): number[] => goals.map((g) => cost[g])
  const noBetter = (): boolean => {
    if (!best) return false
    const now = asVector()
    for (let i = 0; i < now.length; i++) {
      if (now[i]! < best[i]!) return false
      if (now[i]! > best[i]!) return true
    }
    return true
  }

  const chargeFits = (run: ChargeRun, c: NonNullable<Placed['charge']>): boolean => {
    const others = placed.flatMap((p) => (p.charge ? [p.charge] : []))
    if (c.start < input.now || c.start < (c.channel.from ?? 0) || c.end > (c.channel.until ?? Infinity))
      return false
    if (c.option.amps > c.channel.maxAmps || c.option.watts > c.channel.maxWatts) return false
    if (input.ongoing.some((o) => o.channelId === c.channel.id && c.start < o.until)) return false
    if (!dropped.has(`channels:${groupOf.get(c.channel.id)}`))
      if (others.some((o) => o.channel.id === c.channel.id && o.start < c.end && c.start < o.end))
        return false
    if (!dropped.has(`supply:${c.channel.supplyId}`)) {
      const limit = input.supplies.find((s) => s.id === c.channel.supplyId)!.maxWatts
      const on = [...others, c].filter((o) => o.channel.supplyId === c.channel.supplyId)
      for (const moment of on.map((o) => o.start)) {
        const load = on
          .filter((o) => o.start <= moment && moment < o.end)
          .reduce((s, o) => s + o.option.watts, 0)
        const under = input.ongoing
          .filter((o) => input.channels.find((k) => k.id === o.channelId)?.supplyId === c.channel.supplyId)
          .filter((o) => moment < o.until)
          .reduce((s, o) => s + o.watts, 0)
        if (load + under > limit) return false
      }
    }
    if (rules.handsPerStep !== null && !dropped.has('hands')) {
      const busy = (rules.handsBusy ?? []).filter((b) => b.from < c.start + step && b.to > c.start)
      const hands = Math.min(rules.handsPerStep, ...busy.map((b) => b.hands))
      if (others.filter((o) => o.start === c.start).length + 1 > hands) return false
    }
    for (const pin of pins.filter((p) => p.runId === run.id)) {
      if (pin.channelId && pin.channelId !== c.channel.id) return false
      if (pin.startAt !== undefined && Math.round(pin.startAt / step) * step !== c.start) return false
    }
    return true
  }

  const place = (index: number): void => {
    if (noBetter()) return
    const run = runs[index]
    if (!run) {
      best = asVector()
      return
    }
    const before = known.get(run.id)
    const latestEnd = Math.floor((run.readyBy - rest) / step) * step
    const free = pins.filter((p) => p.runId === run.id)
    const attempt = (pack: ChargePack, charge: Placed['charge'], end: number): void => {
      const saved = { ...cost }
      const uses = placed.filter((p) => p.pack === pack).length
      const mismatch = run.fits.find((f) => f.packId === pack.id)!.mismatch
      cost.match += mismatch * run.importance
      cost.cycles += 2 * (band(pack) + uses + 1) - 1
      cost.held += Math.max(
        0,
        (latestEnd - end) / step - Math.floor(rules.heldAllowanceSeconds / rules.stepSeconds),
      )
      if (before) {
        if (before.packId !== pack.id) cost.changes += 2
        const same =
          before.charge && charge
            ? Math.abs(before.charge.startAt - charge.start) <= 2 * step
            : before.charge === charge
        if (!same) cost.changes += 1
      }
      placed.push({ pack, run, charge })
      place(index + 1)
      placed.pop()
      Object.assign(cost, saved)
    }
    for (const fit of run.fits) {
      const pack = input.packs.find((p) => p.id === fit.packId)
      if (!pack || free.some((p) => p.packId && p.packId !== pack.id)) continue
      const single = !dropped.has(`pack:${pack.id}`)
      const own = placed.filter((p) => p.pack === pack)
      const fullEnd = Math.ceil(pack.availableFrom / step) * step
      const unpinned = free.every((p) => !p.channelId && p.startAt === undefined)
      if (pack.state === 'full' && (!single || own.length === 0) && fullEnd <= latestEnd && unpinned)
        attempt(pack, null, fullEnd)
      const last = own[own.length - 1]
      const ways: { options: readonly ChargeOption[]; from: number }[] = []
      if (pack.state === 'empty' && (!single || !last))
        ways.push({ options: pack.firstCharge, from: pack.availableFrom })
      if (!single) ways.push({ options: pack.afterRun, from: pack.availableFrom })
      else if (last)
        ways.push({ options: pack.afterRun, from: Math.max(pack.availableFrom, last.run.freeAt + cool) })
      for (const { options, from } of ways)
        for (const option of options) {
          const whole = Math.ceil(option.seconds / rules.stepSeconds)
          const length = Math.max(1, Math.ceil(whole * (run.chargeShare ?? 1))) * step
          for (let end = latestEnd; end - length >= Math.max(from, input.now); end -= step) {
            if (
              !dropped.has('held') &&
              latestEnd - end > Math.floor(rules.maxHeldSeconds / rules.stepSeconds) * step
            )
              break
            for (const channel of input.channels) {
              const charge = { channel, option, start: end - length, end }
              if (chargeFits(run, charge)) attempt(pack, charge, end)
            }
          }
        }
    }
  }
  place(0)
  return best
}

/** Names the groups of like channels as the facts do: by their first channel; a pinned channel stands alone. */
function channelGroupNames(input: ChargePlanInput): Map<string, string> {
  const names = new Map<string, string>()
  for (const c of input.channels) {
    const alone = input.pins.some((p) => p.channelId === c.id)
    const twin = input.channels.find(
      (o) =>
        names.get(o.id) === o.id &&
        !alone &&
        !input.pins.some((p) => p.channelId === o.id) &&
        o.supplyId === c.supplyId &&
        o.maxAmps === c.maxAmps &&
        o.maxWatts === c.maxWatts &&
        o.until === c.until,
    )
    names.set(c.id, twin?.id ?? c.id)
  }
  return names
}
