import type { ChargePlanInput, ChargeRun } from './charge-types'
import type { Impossibility } from './explain-impossible'
import { explainImpossible } from './explain-impossible'
import type { MilpSolver } from '../solver/milp'
import { planExists } from './solve-charge-plan'

/** What a way changes about the day, for whoever writes it down. */
export type WayStep =
  | { kind: 'unpin'; pinId: string; runId: string }
  | { kind: 'waitLonger'; maxHeldSeconds: number }
  | { kind: 'moreHands'; handsPerStep: number }
  | { kind: 'lowerCharge'; runId: string; share: number }
  /** `channelId`: the new channel's id in the way's plan. */
  | { kind: 'addChannel'; likeChannelId: string; channelId: string }
  | { kind: 'morePower'; supplyId: string; maxWatts: number }
  /** `packId`: the borrowed pack's id in the way's plan. */
  | { kind: 'borrowPack'; runId: string; packId: string }
  | { kind: 'coolLess'; coolDownSeconds: number }
  | { kind: 'leaveOut'; runIds: readonly string[] }

export interface WayOut {
  step: WayStep
  /** What it costs the team, in rough units: smaller is easier. Common practice, no source. */
  cost: number
  words: string
  /** The day with this way taken: solve it to see the plan. */
  input: ChargePlanInput
}

export type WayKind = WayStep['kind']

const COSTS: Record<WayKind, number> = {
  unpin: 1,
  waitLonger: 2,
  moreHands: 2,
  lowerCharge: 3,
  addChannel: 4,
  morePower: 5,
  borrowPack: 6,
  coolLess: 8,
  leaveOut: 10,
}
const LOWER_SHARE = 0.8
const LONGER_SECONDS = 1800

/**
 * The cheapest single steps that make an impossible day possible, each one proven by a plan that exists; easiest first.
 * Only steps that touch the explanation are tried, since any other leaves it standing. When no single step will do,
 * there is one entry that leaves out as many runs as it takes, the least important of each explanation in turn.
 */
export function waysOut(
  input: ChargePlanInput,
  why: Impossibility,
  solver: MilpSolver,
  timeLimitSeconds: number,
): WayOut[] {
  const begin = performance.now()
  const left = (): number => timeLimitSeconds - (performance.now() - begin) / 1000
  const found: WayOut[] = []
  for (const way of candidates(input, why).sort((a, b) => a.cost - b.cost)) {
    if (left() <= 0) break
    if (planExists(way.input, solver, new Set(), left()) === true) found.push(way)
  }
  if (found.length) return found
  const out = leaveOutRuns(input, why, solver, left)
  return out ? [out] : []
}

/** The way of leaving some runs out, whether or not a plan for the rest is proven. */
export function leavingOut(input: ChargePlanInput, runIds: readonly string[]): WayOut {
  const gone = input.runs.filter((r) => runIds.includes(r.id))
  return {
    step: { kind: 'leaveOut', runIds: [...runIds] },
    cost: gone.reduce((sum, r) => sum + COSTS.leaveOut + r.importance, 0),
    words: `Leave out ${gone.map((r) => r.label).join(', ')}`,
    input: { ...input, runs: input.runs.filter((r) => !runIds.includes(r.id)) },
  }
}

function leaveOutRuns(
  input: ChargePlanInput,
  why: Impossibility,
  solver: MilpSolver,
  left: () => number,
): WayOut | null {
  const gone: ChargeRun[] = []
  let rest = input
  let reason: Impossibility | null = why
  while (reason && left() > 0) {
    const ids = new Set(reason.facts.map((f) => f.id))
    const [least] = rest.runs
      .filter((r) => ids.has(`need:${r.id}`))
      .sort((a, b) => a.importance - b.importance || b.readyBy - a.readyBy)
    if (!least) return null
    gone.push(least)
    rest = { ...rest, runs: rest.runs.filter((r) => r !== least) }
    if (planExists(rest, solver, new Set(), left()) === true)
      return leavingOut(
        input,
        gone.map((r) => r.id),
      )
    reason = explainImpossible(rest, solver, { timeLimitSeconds: left() })
  }
  return null
}

function candidates(input: ChargePlanInput, why: Impossibility): WayOut[] {
  const { rules } = input
  const ids = new Set(why.facts.map((f) => f.id))
  const runs = input.runs.filter((r) => ids.has(`need:${r.id}`))
  const ways: WayOut[] = []
  const way = (step: WayStep, words: string, change: Partial<ChargePlanInput>, extra = 0): void => {
    ways.push({ step, cost: COSTS[step.kind] + extra, words, input: { ...input, ...change } })
  }
  for (const pin of input.pins)
    if (ids.has(`pin:${pin.id}`)) {
      const run = input.runs.find((r) => r.id === pin.runId)
      way(
        { kind: 'unpin', pinId: pin.id, runId: pin.runId },
        `Let the plan choose for ${run?.label ?? pin.runId}`,
        {
          pins: input.pins.filter((p) => p !== pin),
        },
      )
    }
  if (ids.has('held')) {
    const maxHeldSeconds = rules.maxHeldSeconds + LONGER_SECONDS
    way({ kind: 'waitLonger', maxHeldSeconds }, `Let packs sit full for ${LONGER_SECONDS / 60} min longer`, {
      rules: { ...rules, maxHeldSeconds },
    })
  }
  if (ids.has('hands')) {
    const handsPerStep = (rules.handsPerStep ?? 0) + 1
    way({ kind: 'moreHands', handsPerStep }, 'Get one more person to put packs on charge', {
      rules: {
        ...rules,
        handsPerStep,
        handsBusy: (rules.handsBusy ?? []).map((b) => ({ ...b, hands: b.hands + 1 })),
      },
    })
  }
  const replaced = (run: ChargeRun, change: Partial<ChargeRun>): ChargeRun[] =>
    input.runs.map((r) => (r === run ? { ...r, ...change } : r))
  for (const run of runs)
    if ((run.chargeShare ?? 1) > LOWER_SHARE)
      way(
        { kind: 'lowerCharge', runId: run.id, share: LOWER_SHARE },
        `Start ${run.label} on a pack charged to ${LOWER_SHARE * 100}%`,
        { runs: replaced(run, { chargeShare: LOWER_SHARE }) },
        run.importance / 10,
      )
  const groups = [...ids].filter((f) => f.startsWith('channels:')).map((f) => f.slice('channels:'.length))
  for (const id of groups) {
    const like = input.channels.find((c) => c.id === id)
    if (!like) continue
    const { from: _from, until: _until, ...rest } = like
    way(
      { kind: 'addChannel', likeChannelId: id, channelId: `${id}-more` },
      `Add a charger channel like ${like.label}`,
      {
        channels: [...input.channels, { ...rest, id: `${id}-more`, label: `another ${like.label}` }],
      },
    )
  }
  for (const supply of input.supplies)
    if (ids.has(`supply:${supply.id}`)) {
      const most = Math.max(0, ...input.packs.flatMap((p) => p.afterRun.map((o) => o.watts)))
      const maxWatts = supply.maxWatts + most
      way({ kind: 'morePower', supplyId: supply.id, maxWatts }, `Give ${supply.label} ${most} W more`, {
        supplies: input.supplies.map((s) => (s === supply ? { ...s, maxWatts } : s)),
      })
    }
  for (const run of runs) {
    const id = `borrowed-${run.id}`
    way({ kind: 'borrowPack', runId: run.id, packId: id }, `Borrow a charged pack for ${run.label}`, {
      packs: [
        ...input.packs,
        {
          id,
          label: 'borrowed pack',
          state: 'full',
          availableFrom:
            Math.min(input.now, run.readyBy) - rules.restSeconds * 1000 - rules.stepSeconds * 1000,
          cycles: Math.min(...input.packs.map((p) => p.cycles)),
          firstCharge: [],
          afterRun: [],
        },
      ],
      runs: replaced(run, { fits: [...run.fits, { packId: id, mismatch: 0 }] }),
    })
  }
  if (ids.has('coolDown')) {
    const coolDownSeconds = Math.round(rules.coolDownSeconds / 2)
    way({ kind: 'coolLess', coolDownSeconds }, 'Cool packs with a fan and charge them once they feel cool', {
      rules: { ...rules, coolDownSeconds },
    })
  }
  for (const run of runs)
    way(
      { kind: 'leaveOut', runIds: [run.id] },
      `Leave ${run.label} out`,
      { runs: input.runs.filter((r) => r !== run) },
      run.importance,
    )
  return ways
}
