import type { Heat } from '../../board'
import { derived, TURN_MS, type Board } from '../../derived'
import { heatsInOrder, heatsToCome } from './day-forecast'
import { dutiesNow, forecastNow, runsNow } from './today'

/** A heat on the day's axis as of now. Times in ms since the epoch. */
export interface DayHeat {
  heat: Heat
  className: string | undefined
  /** The team's runs in it. */
  runIds: readonly string[]
  /** Who marshals it, and in whose place. */
  marshals: readonly { doneBy: string; owedBy: string }[]
  /** Stamped, expected or planned. */
  startAt: number | null
  /** Half width of the forecast's interval, s; 0 once started. */
  plusMinusS: number
  /** `ran`: it is over, or a later one has started. */
  state: 'ran' | 'on-track' | null
  isToCome: boolean
}

/** The whole day in order, breaks included. */
export const dayHeatsNow = derived((board: Board): readonly DayHeat[] => {
  const heats = heatsInOrder(board)
  const forecast = forecastNow(board)
  const lastStarted = heats.findLastIndex((h) => h.startedAt?.v)
  const toCome = new Set(heatsToCome(heats, forecast, board.now(TURN_MS)).map((h) => h.id))
  const runIds = new Map<string, string[]>()
  for (const r of runsNow(board)) runIds.set(r.heat.id, [...(runIds.get(r.heat.id) ?? []), r.runId])
  const marshals = new Map<string, { doneBy: string; owedBy: string }[]>()
  for (const { heatId, doneBy, owedBy } of dutiesNow(board).duties)
    if (doneBy !== null) marshals.set(heatId, [...(marshals.get(heatId) ?? []), { doneBy, owedBy }])
  return heats.map((heat, i): DayHeat => {
    const expected = forecast.heats.get(heat.id)
    const startedAt = heat.startedAt?.v ?? null
    const isOver = !!heat.finishedAt?.v || i < lastStarted
    return {
      heat,
      className: board.classes.get(heat.classId)?.name,
      runIds: runIds.get(heat.id) ?? [],
      marshals: marshals.get(heat.id) ?? [],
      startAt: startedAt ?? expected?.startAt ?? heat.plannedStart ?? null,
      plusMinusS: startedAt === null ? (expected?.plusMinusS ?? 0) : 0,
      state: isOver ? 'ran' : startedAt === null ? null : 'on-track',
      isToCome: toCome.has(heat.id),
    }
  })
})
