import type { BoardView, MeetingRecord } from '../../board'
import type { LooseEnd } from '../loose-ends/loose-end'
import { MINUTE } from '../loose-ends/loose-end-people'
import { FIT_BEFORE_CALL_MS, isUnderWay, PIT_RULES } from './plan-input'
import { carInHeat, type RunInfo } from '../day/runs'

type Charge = MeetingRecord<'charges'>

/** Why a charge plan that people took no longer does for one run. */
export interface PlanTrouble {
  /** Stable while the trouble is the same. */
  id: string
  runId: string
  kind: 'late' | 'channel' | 'other-pack' | 'unfit' | 'no-pack'
  words: string
  /** The last moment at which something can be done about it, ms. */
  bitesAt: number
}

export interface PlanWatch {
  /** Somebody has taken a plan: there are charges to come. */
  isTaken: boolean
  troubles: PlanTrouble[]
  /** The plan holds, and yet packs would wait full for so long that a new one would do better: how many. */
  waitingLong: number
}

/** People who are a few minutes behind are not in trouble. */
const GRACE_MS = 2 * MINUTE
/** Full this much longer than the plan's own allowance is worth a better plan. */
const LONG_WAIT_MS = 25 * MINUTE

/**
 * Holds the plan that people took against the board as it is now: the forecast, the packs' states, the promises. Found from the board alone,
 * so every device sees the same.
 */
export function watchPlan(view: BoardView, runs: readonly RunInfo[], now: number): PlanWatch {
  const coming = runs.filter((r) => r.state === 'upcoming' && r.callAt !== null && !r.run?.leftOut)
  const open = view.charges.live.filter((c) => !c.stoppedAt?.v && c.plannedEnd !== undefined)
  const isTaken = open.some((c) => !c.startedAt?.v && coming.some((r) => r.runId === c.runId))
  if (!isTaken) return { isTaken, troubles: [], waitingLong: 0 }
  const troubles: PlanTrouble[] = []
  let waitingLong = 0
  for (const run of coming) {
    const charge = open.find((c) => c.runId === run.runId)
    const trouble = troubleOf(view, run, charge, now)
    if (trouble) troubles.push(trouble)
    else if (charge && !charge.startedAt?.v && waitOf(run, charge, now) > LONG_WAIT_MS) waitingLong++
  }
  return { isTaken, troubles: [...troubles, ...channelTroubles(view, runs, open, now)], waitingLong }
}

const minutes = (ms: number) => `${Math.max(1, Math.round(ms / MINUTE))} min`
const readyBy = (run: RunInfo) => (run.callAt ?? 0) - FIT_BEFORE_CALL_MS

/** When the charge can be over, seen from now: one that should have begun begins now at the earliest. */
function endOf(charge: Charge, now: number): number {
  const planned = charge.plannedEnd ?? now
  if (charge.startedAt?.v) return planned
  const length = planned - (charge.plannedStart ?? planned)
  return Math.max(planned, now - GRACE_MS + length)
}
const waitOf = (run: RunInfo, charge: Charge, now: number) =>
  readyBy(run) - endOf(charge, now) - (PIT_RULES.restSeconds + PIT_RULES.heldAllowanceSeconds) * 1000

function troubleOf(
  view: BoardView,
  run: RunInfo,
  charge: Charge | undefined,
  now: number,
): PlanTrouble | null {
  const packId = run.run?.packId?.v ?? null
  const pack = view.packs.get(packId)
  const trouble = (kind: PlanTrouble['kind'], words: string, bitesAt: number): PlanTrouble => ({
    id: `${kind}:${run.runId}:${packId ?? ''}`,
    runId: run.runId,
    kind,
    words: `${carInHeat(run)}: ${words}`,
    bitesAt,
  })
  if (!packId) return trouble('no-pack', 'has no pack', readyBy(run))
  const label = pack?.label ?? 'its pack'
  if (!pack || pack.removed || pack.state?.v === 'retired' || pack.health === 'suspect')
    return trouble(
      'unfit',
      `${label} is ${pack?.health === 'suspect' ? 'suspect' : 'not in use'}`,
      readyBy(run),
    )
  if (!charge) return null
  if (charge.packId !== packId)
    return trouble(
      'other-pack',
      `${label} is assigned, but the plan charges ${view.packs.get(charge.packId)?.label ?? 'another'} for it`,
      charge.plannedStart ?? readyBy(run),
    )
  const end = endOf(charge, now)
  if (end > readyBy(run))
    return trouble(
      'late',
      `${label} would be ready ${minutes(end - readyBy(run))} after it is needed`,
      readyBy(run),
    )
  return null
}

/** Two charges on one channel at one time: two phones that were right offline. */
function channelTroubles(
  view: BoardView,
  runs: readonly RunInfo[],
  open: readonly Charge[],
  now: number,
): PlanTrouble[] {
  const charges = [...open].sort((a, b) => (a.plannedStart ?? 0) - (b.plannedStart ?? 0))
  return charges.flatMap((c, i): PlanTrouble[] => {
    const start = c.startedAt?.v ?? c.plannedStart ?? 0
    const before = charges
      .slice(0, i)
      .find(
        (o) =>
          o.chargerId === c.chargerId &&
          o.channel === c.channel &&
          !(isUnderWay(o) && isUnderWay(c)) &&
          endOf(o, now) > start + GRACE_MS,
      )
    const run = runs.find((r) => r.runId === c.runId)
    if (!before || !run) return []
    const label = (x: Charge) => view.packs.get(x.packId)?.label ?? 'a pack'
    const where = `${view.chargers.get(c.chargerId)?.label ?? 'charger'} channel ${c.channel ?? '?'}`
    return [
      {
        id: `channel:${before.id}:${c.id}`,
        runId: run.runId,
        kind: 'channel',
        words: `${carInHeat(run)}: ${label(c)} is due on ${where} while ${label(before)} is on it for ${minutes(endOf(before, now) - start)} more`,
        bitesAt: start,
      },
    ]
  })
}

/** One loose end for a plan that no longer holds; the plan screen has the proposal. */
export function planLooseEnds(view: BoardView, runs: readonly RunInfo[], now: number): LooseEnd[] {
  const { troubles } = watchPlan(view, runs, now)
  const [first] = [...troubles].sort((a, b) => a.bitesAt - b.bitesAt)
  if (!first) return []
  const more = troubles.length - 1
  return [
    {
      id: 'plan-broken',
      title: 'The charge plan no longer works',
      why: `${first.words}${more > 0 ? `; and ${more} more` : ''}`,
      who: { personIds: [], role: 'mechanic' },
      bitesAt: first.bitesAt,
      carId: null,
      runId: null,
      act: { kind: 'open-plan' },
    },
  ]
}
