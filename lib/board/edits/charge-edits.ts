import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import { chargeAfterRun } from '../charge-after-run'
import type { PackState } from '../kit-collections'
import { runEdit, type EditContext, type Writer } from '../write-session'

/** ms: a plan without times still gives the charge an end. */
const LEAST_CHARGE_MS = 60_000

/** One run's part of a charge plan as people take it over. Times in ms since the epoch. */
export interface PlannedPack {
  runId: string
  packId: string
  charge: { chargerId: string; channel: number; currentA: number; startAt: number; endAt: number } | null
}

/**
 * Take a plan over, whole or in parts: promises the packs and writes the planned charges. A run's planned charge has the run's own id, so that
 * two phones that take the same part write the same record.
 */
export function takePlan(ctx: EditContext, view: BoardView, parts: readonly PlannedPack[]): Result<void> {
  return runEdit(ctx, 'take-plan', (w) => writePlan(w, view, parts))
}

export function writePlan(w: Writer, view: BoardView, parts: readonly PlannedPack[]): Result<void> {
  for (const part of parts) {
    const charge = view.charges.get(part.runId)
    if (charge?.startedAt?.v && !charge.stoppedAt?.v && charge.packId !== part.packId)
      return refuse(
        'Plan',
        view.packs.get(charge.packId)?.label ?? '',
        'is already on charge for this run',
        'Stop that charge first, or leave this part out.',
      )
    if (view.runs.get(part.runId)?.packId?.v !== part.packId)
      w.meeting('runs', part.runId, { packId: w.stamp(part.packId) })
    if (part.charge)
      w.meeting('charges', part.runId, {
        packId: part.packId,
        runId: part.runId,
        chargerId: part.charge.chargerId,
        channel: part.charge.channel,
        currentA: part.charge.currentA,
        plannedStart: Math.round(part.charge.startAt),
        plannedEnd: Math.round(part.charge.endAt),
        removed: false,
        // The charge before is over: its stamps would say that this one is, and of another pack, perhaps.
        ...(charge?.startedAt?.v && charge.stoppedAt?.v
          ? {
              startedAt: w.stamp(null),
              stoppedAt: w.stamp(null),
              ...(charge.packId !== part.packId && { chargedMah: w.stamp(null) }),
            }
          : {}),
      })
    else if (charge && !charge.removed && !charge.startedAt?.v)
      w.meeting('charges', part.runId, { removed: true })
  }
  return ok(undefined)
}

/** The pack is on the charger now. */
export function startCharge(
  ctx: EditContext,
  view: BoardView,
  t: {
    chargeId: string
    packId: string
    runId: string | null
    chargerId: string
    channel: number
    currentA: number
    expectedEnd: number
  },
): Result<void> {
  return runEdit(ctx, 'start-charge', (w) => {
    const busy = view.charges.live.find(
      (c) =>
        c.id !== t.chargeId &&
        c.chargerId === t.chargerId &&
        c.channel === t.channel &&
        c.startedAt?.v &&
        !c.stoppedAt?.v,
    )
    if (busy)
      return refuse(
        'Channel',
        String(t.channel),
        `is charging ${view.packs.get(busy.packId)?.label ?? 'another pack'}`,
        'Stop that charge first, or use another channel.',
      )
    const cap = view.packs.get(t.packId)?.maxChargeC
    const ah = (view.packs.get(t.packId)?.capacityMah ?? 0) / 1000
    if (cap !== undefined && ah > 0 && t.currentA > cap * ah + 1e-9)
      return refuse(
        'Current',
        `${t.currentA} A`,
        `is over the pack’s cap of ${cap}C`,
        `Charge at ${Math.floor(cap * ah * 10) / 10} A or less.`,
      )
    w.meeting('charges', t.chargeId, {
      packId: t.packId,
      runId: t.runId ?? undefined,
      chargerId: t.chargerId,
      channel: t.channel,
      currentA: t.currentA,
      plannedEnd: Math.round(t.expectedEnd),
      startedAt: w.stamp(w.at),
      stoppedAt: view.charges.get(t.chargeId)?.stoppedAt?.v ? w.stamp(null) : undefined,
      removed: false,
    })
    w.kit('packs', t.packId, { state: w.stamp<PackState>('charging') })
    return ok(undefined)
  })
}

/** A planned charge is on the charger now, as it was planned: as long, from now on. */
export function startPlanned(ctx: EditContext, view: BoardView, chargeId: string): Result<void> {
  const charge = view.charges.get(chargeId)
  const { packId, chargerId, channel, currentA } = charge ?? {}
  const label = view.packs.get(packId)?.label ?? ''
  const lack = (what: string) =>
    refuse(
      'Charge',
      label,
      `has no ${what} any more`,
      'Look at the charge plan, or start the charge by hand.',
    )
  if (!charge || charge.removed)
    return refuse('Charge', '', 'is no longer planned', 'Look at the charge plan.')
  if (!packId) return lack('pack')
  if (!chargerId) return lack('charger')
  if (!channel) return lack('channel')
  if (!currentA) return lack('current')
  if (charge.startedAt?.v && !charge.stoppedAt?.v)
    return refuse('Charge', label, 'is running already', 'Take the pack off charge when it is full.')
  const length = Math.max((charge.plannedEnd ?? 0) - (charge.plannedStart ?? 0), LEAST_CHARGE_MS)
  const expectedEnd = ctx.clock.now() + length
  const runId = charge.runId ?? null
  return startCharge(ctx, view, { chargeId, packId, runId, chargerId, channel, currentA, expectedEnd })
}

/**
 * The charge ended: what went in, and the voltage at the end. Counts a cycle when the pack came out full. What went into a full one is noted with the
 * run that the pack came out of, and so is its resting voltage from before the charge.
 */
export function stopCharge(
  ctx: EditContext,
  view: BoardView,
  t: { chargeId: string; full: boolean; chargedMah?: number; endVoltageV?: number; restBeforeV?: number },
): Result<void> {
  return runEdit(ctx, 'stop-charge', (w) => {
    const charge = view.charges.get(t.chargeId)
    if (!charge?.packId || !charge.startedAt?.v)
      return refuse('Charge', '', 'has not been started', 'Start it first.')
    // Two phones may have the dialog open: the second would count another cycle.
    if (charge.stoppedAt?.v)
      return refuse(
        'Charge',
        view.packs.get(charge.packId)?.label ?? '',
        'has been taken off already',
        'Correct the figures in the debrief of the run before.',
      )
    const after = chargeAfterRun(view, charge, t.chargedMah ?? 0)
    w.meeting('charges', t.chargeId, {
      stoppedAt: w.stamp(w.at),
      chargedMah: t.chargedMah === undefined ? undefined : w.stamp(t.chargedMah),
      endVoltageV: t.endVoltageV === undefined ? undefined : w.stamp(t.endVoltageV),
    })
    w.kit('packs', charge.packId, {
      state: w.stamp<PackState>(t.full ? 'charged' : 'resting'),
      chargePercent: t.full ? w.stamp(100) : undefined,
      restVoltageV: t.endVoltageV === undefined ? undefined : w.stamp(t.endVoltageV),
      cycles: t.full ? (view.packs.get(charge.packId)?.cycles ?? 0) + 1 : undefined,
    })
    if (after)
      w.meeting('runs', after.runId, {
        chargeBackMah: t.full && t.chargedMah !== undefined && after.isOpen ? w.stamp(after.mah) : undefined,
        restVoltageV: t.restBeforeV !== undefined && after.isFirst ? w.stamp(t.restBeforeV) : undefined,
      })
    return ok(undefined)
  })
}

/** Keep a planned charge where it is, whatever the planner would prefer. */
export function pinCharge(ctx: EditContext, t: { chargeId: string; pinned: boolean }): Result<void> {
  return runEdit(ctx, 'pin-charge', (w) => {
    w.meeting('charges', t.chargeId, { pinned: t.pinned })
    return ok(undefined)
  })
}
