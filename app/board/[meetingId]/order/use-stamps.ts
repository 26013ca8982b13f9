'use client'
import { useEditContext, useDerived, useBoard, useSettle } from '@/app/sync'
import { stampFinish, stampStart, type Heat } from '@/lib/board'
import { freezeRecord, isEarlyFinish, type StampEvent, runsNow } from '@/lib/card'
import { heatInFull } from '@/app/meeting/heat-in-full'
import { useJustChanged } from './use-just-changed'

/** ms; nobody stamps two events of a day within it, and a second press of the same hand comes sooner. */
const REST_MS = 4000

/** The stamps of a day, and whether the key rests because what it stands for has just changed, here or on another phone. */
export function useStamps(expected: StampEvent | null) {
  const ctx = useEditContext()
  const runs = useDerived(runsNow)
  const view = useBoard()
  const settle = useSettle()
  const isLocked = useJustChanged(expected ? `${expected.kind}:${expected.heat.id}` : '', REST_MS)
  const start = (heat: Heat, at = ctx.clock.now()) => {
    const records = runs
      .filter((r) => r.heat.id === heat.id)
      .map((r) => ({ runId: r.runId, record: freezeRecord(view, r, at) }))
    return settle(
      stampStart(ctx, view, { heatId: heat.id, at, records }),
      `${heatInFull(view, heat)} started`,
    )
  }
  const finish = (heat: Heat) =>
    settle(
      stampFinish(ctx, view, { heatId: heat.id, at: ctx.clock.now() }),
      `${heatInFull(view, heat)} finished`,
    )
  const isEarly = (heat: Heat) => isEarlyFinish(view, heat, ctx.clock.now())
  return { isLocked, start, finish, isEarly }
}
