'use client'
import { stampFinish, stampStart, type Heat } from '@/lib/board'
import { freezeRecord, isEarlyFinish, type StampEvent } from '@/lib/card'
import type { RaceDay } from '../use-race-day'
import { heatName } from './heat-name'
import { useJustChanged } from './use-just-changed'

/** ms; nobody stamps two events of a day within it, and a second press of the same hand comes sooner. */
const REST_MS = 4000

/** The stamps of a day, and whether the key rests because what it stands for has just changed, here or on another phone. */
export function useStamps(day: RaceDay, expected: StampEvent | null) {
  const isLocked = useJustChanged(expected ? `${expected.kind}:${expected.heat.id}` : '', REST_MS)
  const start = (heat: Heat, at = day.ctx.clock.now()) => {
    const records = day.runs
      .filter((r) => r.heat.id === heat.id)
      .map((r) => ({ runId: r.runId, record: freezeRecord(day.view, r, at) }))
    return day.settle(
      stampStart(day.ctx, day.view, { heatId: heat.id, at, records }),
      `${heatName(day, heat)} started`,
    )
  }
  const finish = (heat: Heat) =>
    day.settle(
      stampFinish(day.ctx, day.view, { heatId: heat.id, at: day.ctx.clock.now() }),
      `${heatName(day, heat)} finished`,
    )
  const isEarly = (heat: Heat) => isEarlyFinish(day.view, heat, day.ctx.clock.now())
  return { isLocked, start, finish, isEarly }
}
