import type { BoardStep, BoardView, PlannedPack } from '../../board'
import type { PlannedUse, WayStep } from '../../planner'
import { channelId, channelOf } from './plan-input'

/** A way out as the board writes it: what changes beside the plan, in records and in words, and the plan in the board's own ids. */
export interface WayOnBoard {
  step: BoardStep
  parts: PlannedPack[]
  /** What taking it writes beside the plan; empty when the plan is all. */
  alsoWrites: string
}

/**
 * Turns a way out and its plan into what is written when somebody takes it. What the way only imagined (a borrowed pack, another channel) gets
 * a record of its own. Null when the board has no place for it.
 */
export function wayOnBoard(
  view: BoardView,
  step: WayStep,
  uses: readonly PlannedUse[],
  newId: () => string,
): WayOnBoard | null {
  const way = (board: BoardStep, alsoWrites: string, ids: Partial<Imagined> = {}): WayOnBoard => ({
    step: board,
    parts: uses.map((u) => asPlannedPack(withIds(u, ids))),
    alsoWrites,
  })
  switch (step.kind) {
    case 'unpin':
      return unpin(view, step, way)
    case 'waitLonger': {
      const hours = (step.maxHeldSeconds / 3600).toFixed(1)
      return way(
        { kind: 'rules', heldSeconds: step.maxHeldSeconds },
        `For this meeting, packs may sit full for up to ${hours} h.`,
      )
    }
    case 'moreHands':
      return way(
        { kind: 'rules', chargeHands: step.handsPerStep },
        `For this meeting, ${step.handsPerStep} packs can be put on charge within five minutes.`,
      )
    case 'coolLess':
      return way(
        { kind: 'rules', coolDownSeconds: step.coolDownSeconds },
        `For this meeting, packs cool for ${(step.coolDownSeconds / 60).toFixed(1)} min before they are charged. Use a fan. A pack that still feels warm has to wait.`,
      )
    case 'lowerCharge':
      return way(
        { kind: 'charge-share', runId: step.runId, share: step.share },
        `The run is planned with ${Math.round(step.share * 100)}% of a charge. Stop the charger there.`,
      )
    case 'addChannel': {
      const { chargerId: likeChargerId } = channelOf(step.likeChannelId)
      const like = view.chargers.get(likeChargerId)
      if (!like) return null
      const label = freeLabel('Extra charger', view.chargers.live)
      const chargerId = newId()
      return way(
        { kind: 'new-charger', chargerId, label, likeChargerId },
        `Adds “${label}” to the kit, one channel with the limits of ${like.label ?? 'the charger'}: check them there.`,
        { channel: { from: step.channelId, to: channelId(chargerId, 1) } },
      )
    }
    case 'morePower': {
      const supply = view.supplies.get(step.supplyId)
      if (!supply) return null
      return way(
        { kind: 'supply-power', supplyId: supply.id, powerW: Math.ceil(step.maxWatts) },
        `Enters ${Math.ceil(step.maxWatts)} W for ${supply.label ?? 'the supply'}: make sure that it gives that much.`,
      )
    }
    case 'borrowPack': {
      const run = view.entries.get(step.runId)
      const cells = view.classes.get(view.heats.get(run?.heatId)?.classId)?.cells ?? 2
      const label = freeLabel('Lent', view.packs.live)
      const packId = newId()
      return way(
        { kind: 'new-pack', packId, label, cells },
        `Adds “${label}” to the kit, a charged pack of ${cells} cells: read its own limits, and check that it is legal in the class.`,
        { pack: { from: step.packId, to: packId } },
      )
    }
    case 'leaveOut':
      return way(
        { kind: 'leave-out', runIds: step.runIds },
        step.runIds.length === 1 ? 'The run stays without a pack.' : 'These runs stay without packs.',
      )
  }
}

interface Imagined {
  pack: { from: string; to: string }
  channel: { from: string; to: string }
}

function withIds(use: PlannedUse, { pack, channel }: Partial<Imagined>): PlannedUse {
  const charge = use.charge && {
    ...use.charge,
    channelId: use.charge.channelId === channel?.from ? channel.to : use.charge.channelId,
  }
  return { ...use, packId: use.packId === pack?.from ? pack.to : use.packId, charge }
}

/** One run's part of a plan in the board's own ids. */
export function asPlannedPack(use: PlannedUse): PlannedPack {
  const { charge } = use
  return {
    runId: use.runId,
    packId: use.packId,
    charge: charge && {
      ...channelOf(charge.channelId),
      currentA: charge.amps,
      startAt: charge.startAt,
      endAt: charge.endAt,
    },
  }
}

function unpin(
  view: BoardView,
  step: Extract<WayStep, { kind: 'unpin' }>,
  way: (board: BoardStep, alsoWrites: string) => WayOnBoard,
): WayOnBoard {
  const chargeId = step.pinId.startsWith('charge.') ? step.pinId.slice('charge.'.length) : null
  if (chargeId) return way({ kind: 'unpin', chargeId }, 'Its charge is no longer pinned.')
  const packId = step.pinId.startsWith('in.') ? view.runs.get(step.runId)?.packIn?.v : null
  if (!packId) return way({ kind: 'plan-only' }, '')
  return way(
    { kind: 'pack-out', runId: step.runId, packId },
    `Says that ${view.packs.get(packId)?.label ?? 'the pack'} is charged and out of the car. Take it out.`,
  )
}

/** `Lent 1`, or the first number that no other label has. */
function freeLabel(stem: string, records: readonly { label?: string }[]): string {
  const taken = new Set(records.map((r) => r.label?.toLowerCase()))
  let n = 1
  while (taken.has(`${stem} ${n}`.toLowerCase())) n++
  return `${stem} ${n}`
}
