import type { BoardView, Heat } from '../board'

export interface HeatForecast {
  startAt: number
  plusMinusS: number
}

/** When the day's heats are expected. Times in ms since the epoch. */
export interface DayForecast {
  heats: ReadonlyMap<string, HeatForecast>
  /** How late the meeting runs, s; negative when early. */
  driftS: number
}

/** Heats in the order of the day: by planned time, then by their place in the running order. */
export const heatsInOrder = (view: BoardView): Heat[] =>
  [...view.heats.live].sort(
    (a, b) =>
      (a.plannedStart ?? Infinity) - (b.plannedStart ?? Infinity) ||
      (a.order ?? 0) - (b.order ?? 0) ||
      (a.number ?? 0) - (b.number ?? 0),
  )

/** Every later heat is moved by as much as the latest stamped heat was late; none is expected before now. */
export function dayForecast(view: BoardView, now: number): DayForecast {
  const heats = heatsInOrder(view)
  const stamped = heats.filter((h) => h.startedAt?.v)
  const latest = stamped.reduce<Heat | undefined>(
    (a, b) => ((a?.startedAt?.v ?? 0) > (b.startedAt?.v ?? 0) ? a : b),
    undefined,
  )
  const drift = latest?.startedAt?.v && latest.plannedStart ? latest.startedAt.v - latest.plannedStart : 0
  const out = new Map<string, HeatForecast>()
  let push = 0
  for (const heat of heats) {
    if (heat.startedAt?.v) out.set(heat.id, { startAt: heat.startedAt.v, plusMinusS: 0 })
    else if (heat.plannedStart) {
      const startAt = Math.max(heat.plannedStart + drift + push, now)
      push = Math.max(push, startAt - heat.plannedStart - drift)
      out.set(heat.id, { startAt, plusMinusS: 0 })
    }
  }
  return { heats: out, driftS: Math.round((drift + push) / 1000) }
}
