import type { ChargePlanInput, ChargerChannel, PlannedCharge, PlannedUse } from './charge-types'

export interface PlanFault {
  /** The number of the rule at `ChargePlanInput` that is broken. */
  rule: 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8
  words: string
}

interface Timed {
  use: PlannedUse
  readyBy: number
  freeAt: number
  label: string
}

/**
 * Checks a plan against every rule of the day, on the times themselves. Written apart from the model, and shares
 * nothing with it but the types.
 */
export function checkPlan(input: ChargePlanInput, uses: readonly PlannedUse[]): PlanFault[] {
  const faults: PlanFault[] = []
  const fault = (rule: PlanFault['rule'], words: string): void => void faults.push({ rule, words })
  const timed: Timed[] = []
  for (const run of input.runs) {
    const own = uses.filter((u) => u.runId === run.id)
    const [use] = own
    if (!use || own.length > 1) {
      fault(1, `${run.label} has ${own.length} packs`)
      continue
    }
    if (!run.fits.some((f) => f.packId === use.packId)) fault(1, `${use.packId} does not fit ${run.label}`)
    timed.push({ use, readyBy: run.readyBy, freeAt: run.freeAt, label: run.label })
  }
  for (const use of uses)
    if (!input.runs.some((r) => r.id === use.runId)) fault(1, `${use.runId} is no run of this day`)
  for (const t of timed) if (t.use.charge) checkCharge(input, t, t.use.charge, fault)
  checkPacks(input, timed, fault)
  const charges = timed.flatMap((t) => (t.use.charge ? [{ ...t.use.charge, label: t.label }] : []))
  checkChannels(input, charges, fault)
  checkHands(input, charges, fault)
  checkPins(input, timed, fault)
  return faults
}

type Report = (rule: PlanFault['rule'], words: string) => void

function checkCharge(input: ChargePlanInput, t: Timed, charge: PlannedCharge, fault: Report): void {
  const step = input.rules.stepSeconds * 1000
  if (charge.startAt % step !== 0) fault(2, `The charge for ${t.label} begins between two steps`)
  if (charge.startAt < input.now) fault(2, `The charge for ${t.label} begins in the past`)
  const pack = input.packs.find((p) => p.id === t.use.packId)
  const share = input.runs.find((r) => r.id === t.use.runId)?.chargeShare ?? 1
  const ways = [...(pack?.state === 'empty' ? pack.firstCharge : []), ...(pack?.afterRun ?? [])]
  const possible = ways.some((way) => {
    const steps = Math.max(1, Math.ceil(Math.ceil(way.seconds / input.rules.stepSeconds) * share))
    return (
      way.amps === charge.amps && way.watts === charge.watts && charge.endAt - charge.startAt === steps * step
    )
  })
  if (!possible) fault(2, `No way of charging ${t.use.packId} is ${charge.amps} A in the time given`)
  const end = t.readyBy - input.rules.restSeconds * 1000
  if (charge.endAt > end) fault(3, `The charge for ${t.label} ends too late`)
  // Times between two steps are given away at both ends, so a wait may be up to one step less than it looks.
  if (end - charge.endAt >= input.rules.maxHeldSeconds * 1000 + step)
    fault(3, `The pack for ${t.label} waits full for too long`)
}

function checkPacks(input: ChargePlanInput, timed: readonly Timed[], fault: Report): void {
  const cool = input.rules.coolDownSeconds * 1000
  for (const pack of input.packs) {
    const own = timed.filter((t) => t.use.packId === pack.id).sort((a, b) => a.readyBy - b.readyBy)
    own.forEach((t, k) => {
      const before = own[k - 1]
      const { charge } = t.use
      if (!charge) {
        if (pack.state !== 'full') fault(4, `${pack.label} is empty and not charged for ${t.label}`)
        if (before) fault(4, `${pack.label} is not charged again for ${t.label}`)
        if (pack.availableFrom > t.readyBy) fault(4, `${pack.label} is not yet full for ${t.label}`)
        return
      }
      if (charge.startAt < pack.availableFrom) fault(4, `${pack.label} is charged before it is available`)
      if (!before && pack.state === 'full') fault(4, `${pack.label} is full and charged for ${t.label}`)
      const ways = before || pack.state === 'full' ? pack.afterRun : pack.firstCharge
      if (!ways.some((w) => w.amps === charge.amps && w.watts === charge.watts))
        fault(4, `${pack.label} cannot be charged so for ${t.label}`)
      if (before && charge.startAt < before.freeAt + cool)
        fault(5, `${pack.label} is charged for ${t.label} while still in use or hot`)
    })
  }
}

type Labelled = PlannedCharge & { label: string }

function checkChannels(input: ChargePlanInput, charges: readonly Labelled[], fault: Report): void {
  const supplyOf = (c: { channelId: string }): string | undefined =>
    input.channels.find((x) => x.id === c.channelId)?.supplyId
  for (const charge of charges) {
    const channel: ChargerChannel | undefined = input.channels.find((c) => c.id === charge.channelId)
    if (!channel) {
      fault(6, `${charge.channelId} is no channel`)
      continue
    }
    if (charge.amps > channel.maxAmps || charge.watts > channel.maxWatts)
      fault(6, `${channel.label} cannot give ${charge.amps} A`)
    if (charge.startAt < (channel.from ?? 0) || charge.endAt > (channel.until ?? Infinity))
      fault(6, `${channel.label} is not there for ${charge.label}`)
    for (const other of [
      ...charges,
      ...input.ongoing.map((o) => ({ ...o, startAt: -Infinity, endAt: o.until })),
    ])
      if (
        other !== charge &&
        other.channelId === charge.channelId &&
        other.startAt < charge.endAt &&
        charge.startAt < other.endAt
      )
        fault(6, `${channel.label} is taken when ${charge.label} needs it`)
    // The load is greatest at some charge's start.
    const supply = input.supplies.find((s) => s.id === channel.supplyId)
    const at = charge.startAt
    const load =
      charges
        .filter((c) => supplyOf(c) === supply?.id && c.startAt <= at && at < c.endAt)
        .reduce((sum, c) => sum + c.watts, 0) +
      input.ongoing
        .filter((o) => supplyOf(o) === supply?.id && at < o.until)
        .reduce((sum, o) => sum + o.watts, 0)
    if (!supply || load > supply.maxWatts)
      fault(6, `${supply?.label ?? 'No supply'} would have to give ${load} W for ${charge.label}`)
  }
}

function checkHands(input: ChargePlanInput, charges: readonly Labelled[], fault: Report): void {
  const { rules } = input
  if (rules.handsPerStep === null) return
  const step = rules.stepSeconds * 1000
  for (const at of new Set(charges.map((c) => c.startAt))) {
    const busy = (rules.handsBusy ?? []).filter((b) => b.from < at + step && b.to > at).map((b) => b.hands)
    const hands = Math.min(rules.handsPerStep, ...busy)
    const begun = charges.filter((c) => c.startAt === at).length
    if (begun > hands) fault(7, `${begun} charges begin at once, with hands for ${hands}`)
  }
}

function checkPins(input: ChargePlanInput, timed: readonly Timed[], fault: Report): void {
  const step = input.rules.stepSeconds * 1000
  for (const pin of input.pins) {
    const use = timed.find((t) => t.use.runId === pin.runId)?.use
    if (!use) continue
    if (pin.packId && use.packId !== pin.packId) fault(8, `Pin ${pin.id}: another pack`)
    if (pin.channelId && use.charge?.channelId !== pin.channelId) fault(8, `Pin ${pin.id}: another channel`)
    if (pin.startAt !== undefined && (!use.charge || Math.abs(use.charge.startAt - pin.startAt) > step / 2))
      fault(8, `Pin ${pin.id}: another time`)
  }
}
