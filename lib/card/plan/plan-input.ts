import { splitId, type BoardView, type KitRecord, type MeetingRecord, type Pack } from '../../board'
import type {
  ChargeOption,
  ChargePack,
  ChargePlanInput,
  ChargeRules,
  ChargeRun,
  ChargerChannel,
  KnownUse,
  OngoingCharge,
  Pin,
  PowerSupply,
} from '../../planner'
import { raceSecondsOf } from '../day/day-forecast'
import { chargeSeconds, CHARGE_VOLTS_PER_CELL, SOC_AFTER_RUN, SOC_AT_STORAGE } from './pack-charge'
import { carInHeat, type RunInfo } from '../day/runs'

const MINUTE = 60_000

/** Defaults of a pit; common practice, no source. */
export const PIT_RULES: ChargeRules = {
  stepSeconds: 300,
  coolDownSeconds: 15 * 60,
  restSeconds: 5 * 60,
  maxHeldSeconds: 4 * 3600,
  heldAllowanceSeconds: 20 * 60,
  handsPerStep: 2,
}
/** A pack goes into the car this long before the call. Common practice, no source. */
export const FIT_BEFORE_CALL_MS = 5 * MINUTE
/** And is out of it this long after the race clock: inspection, walk back, unstrap. Common practice, no source. */
const OUT_AFTER_MS = 6 * MINUTE
/** Long enough for any rest that the rules of a plan ask for. */
const RESTED_MS = 60 * MINUTE
/** A charger without a named supply hangs on its own socket. */
const OWN_SOCKET_W = 100_000
/** Chargers lose this share of what they take in. Common practice, no source. */
const CHARGER_EFFICIENCY = 0.85

/** How much a run matters when not all can be had. */
export const RUN_IMPORTANCE = { practice: 0, qualifying: 2, final: 5 } as const

export const channelId = (chargerId: string, channel: number): string => `${chargerId}.${channel}`
export function channelOf(id: string): { chargerId: string; channel: number } {
  const [chargerId, channel] = splitId(id)
  return { chargerId, channel: Number(channel) }
}

/** The board as the charge planner needs it: the coming runs, what packs and channels can do, charges under way, what people decided. */
export function planInput(view: BoardView, runs: readonly RunInfo[], now: number): ChargePlanInput {
  const coming = runs.filter(
    (r) =>
      (r.state === 'upcoming' || r.state === 'called') &&
      r.callAt !== null &&
      r.callAt > now &&
      !r.run?.leftOut,
  )
  const packs = view.packs.live.filter((p) => p.state?.v !== 'retired' && p.health !== 'suspect')
  const known = knownUses(view, coming)
  return {
    now,
    runs: coming.map((r) => chargeRun(view, r, packs)),
    packs: packs.map((p) => chargePack(view, p, coming, runs, now)),
    channels: channelsOf(view),
    supplies: suppliesOf(view),
    ongoing: ongoingOf(view, now),
    pins: pinsOf(view, coming),
    rules: chargeRulesOf(view),
    known: known.length ? known : null,
  }
}

/** What the day's plan may count on: the usual of a pit, and what people of this meeting changed about it. */
export function chargeRulesOf(view: BoardView): ChargeRules {
  const meeting = view.meeting.get('meeting')
  return {
    ...PIT_RULES,
    handsPerStep: meeting?.chargeHands ?? PIT_RULES.handsPerStep,
    coolDownSeconds: meeting?.coolDownSeconds ?? PIT_RULES.coolDownSeconds,
    maxHeldSeconds: meeting?.heldSeconds ?? PIT_RULES.maxHeldSeconds,
  }
}

function chargeRun(view: BoardView, run: RunInfo, packs: readonly Pack[]): ChargeRun {
  const kind = run.round?.kind ?? 'qualifying'
  const matters = RUN_IMPORTANCE[kind]
  const fitting = packs.filter((p) => run.raceClass?.cells === undefined || p.cells === run.raceClass.cells)
  return {
    id: run.runId,
    label: carInHeat(run),
    readyBy: (run.callAt ?? 0) - FIT_BEFORE_CALL_MS,
    freeAt: (run.startAt ?? 0) + raceSecondsOf(view, run.heat) * 1000 + OUT_AFTER_MS,
    importance: matters,
    ...(run.run?.chargeShare != null && { chargeShare: run.run.chargeShare }),
    fits: fitting.map((p) => ({
      packId: p.id,
      mismatch: weakness(p, fitting) + (p.health === 'practice-only' && kind !== 'practice' ? 50 : 0),
    })),
  }
}

/**
 * How much weaker a pack is than the best at hand, in tenths: of resistance above the lowest, of capacity below the highest. Coarse on purpose:
 * a difference that nobody feels must not change a plan.
 */
function weakness(pack: Pack, among: readonly Pack[]): number {
  const lowest = Math.min(...among.map((p) => p.resistanceMilliohm ?? Infinity))
  const highest = Math.max(...among.map((p) => p.capacityMah ?? 0))
  // A pack whose resistance was never measured counts as half weaker than the best.
  const above = pack.resistanceMilliohm === undefined ? 0.5 : pack.resistanceMilliohm / lowest - 1
  const below = highest > 0 ? 1 - (pack.capacityMah ?? 0) / highest : 0
  return Math.round(10 * (Number.isFinite(above) ? above : 0)) + Math.round(10 * below)
}

function chargePack(
  view: BoardView,
  pack: Pack,
  coming: readonly RunInfo[],
  runs: readonly RunInfo[],
  now: number,
): ChargePack {
  const state = pack.state?.v
  const use = lastUseOf(view, pack, runs)
  const full = !use && (state === 'charged' || state === 'in-car' || state === 'charging')
  const cap = Math.min(pack.maxChargeC ?? 1, ...coming.map((r) => r.raceClass?.maxChargeC ?? Infinity))
  const from =
    pack.chargePercent?.v != null
      ? pack.chargePercent.v / 100
      : state === 'storage'
        ? SOC_AT_STORAGE
        : SOC_AFTER_RUN
  return {
    id: pack.id,
    label: pack.label ?? pack.id,
    state: full ? 'full' : 'empty',
    availableFrom: full ? fullFrom(view, pack, now) : coolFrom(view, pack, use, now),
    cycles: pack.cycles ?? 0,
    firstCharge: optionsFor(pack, cap, use ? SOC_AFTER_RUN : from),
    afterRun: optionsFor(pack, cap, SOC_AFTER_RUN),
  }
}

/** A pack that has been full for a while has rested too; one on charge is full when its charge ends. */
function fullFrom(view: BoardView, pack: Pack, now: number): number {
  if (pack.state?.v !== 'charging') return now - RESTED_MS
  return ongoingOf(view, now).find((o) => o.packId === pack.id)?.until ?? now
}

/**
 * The run that emptied the pack, or is about to: called, on the track, or over without anybody having said since where the pack stands. What
 * was in the car counts; before the start, what is promised.
 */
function lastUseOf(view: BoardView, pack: Pack, runs: readonly RunInfo[]): RunInfo | undefined {
  return runs.findLast((r) => {
    if (r.state === 'upcoming' || r.startAt === null) return false
    const promised = r.state === 'finished' ? undefined : r.run?.packId?.v
    const packId = r.run?.record?.v?.packId ?? r.run?.packIn?.v ?? promised
    return packId === pack.id && endOf(view, r) > (pack.state?.at ?? 0)
  })
}

const endOf = (view: BoardView, run: RunInfo): number =>
  run.heat.finishedAt?.v ?? (run.startAt ?? 0) + raceSecondsOf(view, run.heat) * 1000

/** When a pack that is not full can go on a charger: out of the car, and cooled down. */
function coolFrom(view: BoardView, pack: Pack, use: RunInfo | undefined, now: number): number {
  const coolMs = chargeRulesOf(view).coolDownSeconds * 1000
  if (use) return Math.max(now, endOf(view, use) + OUT_AFTER_MS + coolMs)
  return pack.state?.v === 'used' ? Math.max(now, pack.state.at + coolMs) : now
}

/** At 1C, and as fast as pack and rules allow. */
function optionsFor(pack: Pack, capC: number, fromSoc: number): ChargeOption[] {
  const ah = (pack.capacityMah ?? 0) / 1000
  const rates = [...new Set([Math.min(1, capC), capC])]
  return rates.flatMap((c): ChargeOption[] => {
    const amps = Math.max(0.5, Math.floor(ah * c * 2) / 2)
    const seconds = chargeSeconds(pack, fromSoc, amps)
    const watts = Math.ceil((amps * CHARGE_VOLTS_PER_CELL * (pack.cells ?? 2)) / CHARGER_EFFICIENCY)
    return seconds === null ? [] : [{ amps, watts, seconds }]
  })
}

function channelsOf(view: BoardView): ChargerChannel[] {
  return view.chargers.live.flatMap((charger: KitRecord<'chargers'>) =>
    Array.from({ length: charger.channels ?? 1 }, (_, i) => ({
      id: channelId(charger.id, i + 1),
      label: `${charger.label ?? 'Charger'} channel ${i + 1}`,
      supplyId:
        charger.supplyId && view.supplies.get(charger.supplyId) ? charger.supplyId : `own.${charger.id}`,
      maxAmps: charger.channelCurrentA ?? 10,
      maxWatts: (charger.channelPowerW ?? 200) / CHARGER_EFFICIENCY,
    })),
  )
}

function suppliesOf(view: BoardView): PowerSupply[] {
  const named = view.supplies.live.map((s) => ({
    id: s.id,
    label: s.label ?? 'Supply',
    maxWatts: s.powerW ?? OWN_SOCKET_W,
  }))
  const own = view.chargers.live
    .filter((c) => !c.supplyId || !view.supplies.get(c.supplyId))
    .map((c) => ({ id: `own.${c.id}`, label: `${c.label ?? 'Charger'}’s socket`, maxWatts: OWN_SOCKET_W }))
  return [...named, ...own]
}

export const isUnderWay = (c: MeetingRecord<'charges'>) => !!c.startedAt?.v && !c.stoppedAt?.v

function ongoingOf(view: BoardView, now: number): OngoingCharge[] {
  return view.charges.live.filter(isUnderWay).flatMap((c): OngoingCharge[] => {
    const pack = view.packs.get(c.packId)
    if (!pack || !c.chargerId || !c.channel) return []
    const amps = c.currentA ?? 5
    const seconds = chargeSeconds(pack, SOC_AFTER_RUN, amps) ?? 3600
    const until = Math.max(now, c.plannedEnd ?? (c.startedAt?.v ?? now) + seconds * 1000)
    const watts = Math.ceil((amps * CHARGE_VOLTS_PER_CELL * (pack.cells ?? 2)) / CHARGER_EFFICIENCY)
    return [{ packId: pack.id, channelId: channelId(c.chargerId, c.channel), until, watts }]
  })
}

/** Pinned charges hold as they are; a pack that somebody put into a car holds that run. */
function pinsOf(view: BoardView, coming: readonly RunInfo[]): Pin[] {
  const ids = new Set(coming.map((r) => r.runId))
  const pinned = view.charges.live
    .filter((c) => c.pinned && c.runId && ids.has(c.runId) && !isUnderWay(c))
    .map((c): Pin => ({
      id: `charge.${c.id}`,
      runId: c.runId ?? '',
      packId: c.packId,
      channelId: c.chargerId && c.channel ? channelId(c.chargerId, c.channel) : undefined,
      startAt: c.plannedStart,
    }))
  const inCar = coming
    .filter((r) => r.run?.packIn?.v && view.packs.get(r.run.packIn.v)?.state?.v === 'in-car')
    .map((r): Pin => ({ id: `in.${r.runId}`, runId: r.runId, packId: r.run?.packIn?.v ?? undefined }))
  return [...inCar, ...pinned.filter((p) => !inCar.some((i) => i.runId === p.runId))]
}

/** The plan that people know: packs promised to runs, with their planned charges. */
function knownUses(view: BoardView, coming: readonly RunInfo[]): KnownUse[] {
  return coming.flatMap((r): KnownUse[] => {
    const packId = r.run?.packId?.v
    if (!packId) return []
    const charge = view.charges.live.find(
      (c) => c.runId === r.runId && c.packId === packId && !c.stoppedAt?.v,
    )
    const planned =
      charge?.chargerId && charge.channel && charge.plannedStart && charge.plannedEnd
        ? {
            channelId: channelId(charge.chargerId, charge.channel),
            startAt: charge.plannedStart,
            endAt: charge.plannedEnd,
            amps: charge.currentA ?? 0,
            watts: 0,
          }
        : null
    return [{ runId: r.runId, packId, charge: planned }]
  })
}
