import type { BoardView, Heat } from '../../board'
import { derived } from '../../derived'
import {
  drawOrder,
  forecastFrom,
  orderQuestion,
  type DrawnOrder,
  type OrderQuestion,
  type RunningOrderForecast,
} from '../../planner'

export interface HeatForecast {
  startAt: number
  /** Half width of the 90% interval, s. */
  plusMinusS: number
  finishAt: number | null
}

/** When the day's heats are expected. Times in ms since the epoch. */
export interface DayForecast {
  heats: ReadonlyMap<string, HeatForecast>
  /** How late the meeting runs, s; negative when early. */
  driftS: number
  /** The gap between heats as learned so far. */
  gap: RunningOrderForecast['gap']
  /** The next start's stamp is overdue by this much, s; 0 while nothing is long overdue. */
  silentS: number
}

const DEFAULT_RACE_S = 300

/** By planned time, then by their place in the running order; those without a time come last. */
export const byDay = (a: Heat, b: Heat): number =>
  (a.plannedStart ?? Infinity) - (b.plannedStart ?? Infinity) ||
  (a.order ?? 0) - (b.order ?? 0) ||
  (a.number ?? 0) - (b.number ?? 0)

/** Heats in the order of the day. Breaks are not heats. */
export const heatsInOrder = derived((view: BoardView): readonly Heat[] => [...view.heats.live].sort(byDay))

/**
 * Heats still to come: no start is stamped on them or on a later one (stamps are missed on a busy day), and the forecast does not hold that
 * they have begun. Whatever else there is has a time before now.
 */
export function heatsToCome(heats: readonly Heat[], forecast: DayForecast, now: number): Heat[] {
  const lastStamped = heats.findLastIndex((h) => h.startedAt?.v)
  return heats
    .slice(lastStamped + 1)
    .filter((h) => !h.isBreak && (forecast.heats.get(h.id)?.startAt ?? Infinity) > now)
}

/** What of a heat its times rest on: another name or number is no news for a forecast. */
interface HeatTimes {
  id: string
  isBreak: boolean
  round: string
  plannedStart: number | null
  raceSeconds: number
  startedAt: number | null
  finishedAt: number | null
}

const timesOfDay = derived((view: BoardView): readonly HeatTimes[] =>
  heatsInOrder(view).map((h) => ({
    id: h.id,
    isBreak: h.isBreak === true,
    round: h.roundId ?? '',
    plannedStart: h.plannedStart ?? null,
    raceSeconds: raceSecondsOf(view, h),
    startedAt: h.startedAt?.v ?? null,
    finishedAt: h.finishedAt?.v ?? null,
  })),
)

const heatsOfDay = derived((view: BoardView) => timesOfDay(view).filter((h) => !h.isBreak))

/** What the day's forecast asks: the same, by value, until somebody stamps or edits the order. */
export const dayQuestion = (view: BoardView, now: number): OrderQuestion =>
  orderQuestion({ heats: heatsOfDay(view), now })

/**
 * The forecast as the board sees it: planned times and stamps in, expected starts out. Without what was drawn for the question before it costs some 16 ms
 * for a day of 40 heats; `forecastNow` keeps that.
 */
export function dayForecast(
  view: BoardView,
  now: number,
  question: OrderQuestion = dayQuestion(view, now),
  drawn: DrawnOrder = drawOrder(question),
): DayForecast {
  const all = timesOfDay(view)
  const heats = heatsOfDay(view)
  const forecast = forecastFrom(question, drawn, { heats, now })
  const silentS = silence(heats, now)
  const out = new Map<string, HeatForecast>()
  for (const h of forecast.heats) {
    if (h.expectedStart === null) continue
    const half = h.lowStart === null || h.highStart === null ? 0 : (h.highStart - h.lowStart) / 2000
    // Nobody stamped it, or it has not begun: as long as that is open, so is everything that comes after it.
    const open = h.stage === 'coming' ? silentS : 0
    out.set(h.id, { startAt: h.expectedStart, plusMinusS: half + open, finishAt: h.expectedFinish })
  }
  placeBreaks(all, out)
  // Before the first heat's time nothing is late yet.
  const hasBegun = now >= (heats[0]?.plannedStart ?? 0) || heats.some((h) => h.startedAt)
  return { heats: out, driftS: hasBegun ? Math.round(forecast.driftSeconds) : 0, gap: forecast.gap, silentS }
}

/** A stamp that is late by less is not asked for; past the other the day is over or was called off. Common practice, no source. s */
const LATE_STAMP_S = 300
const DAY_IS_OVER_S = 4 * 3600

/**
 * How long the next heat's start is overdue without a stamp, s: by its distance in the plan from the latest stamped start, or by the plan itself
 * before the first stamp. The forecast cannot say it, since it takes a heat that nobody stamped for one that has not begun.
 */
function silence(heats: readonly HeatTimes[], now: number): number {
  const at = heats.findLastIndex((h) => h.startedAt)
  const [last, next] = [heats[at], heats[at + 1]]
  if (!next || next.plannedStart === null) return 0
  const drift = last?.startedAt && last.plannedStart !== null ? last.startedAt - last.plannedStart : 0
  const late = Math.round((now - next.plannedStart - drift) / 1000)
  return late < LATE_STAMP_S || late > DAY_IS_OVER_S ? 0 : late
}

/** A break begins when it is planned, or when the heat before it has ended, if that is later; it never stands behind the heat after it. */
function placeBreaks(all: readonly HeatTimes[], out: Map<string, HeatForecast>): void {
  all.forEach((h, i) => {
    if (!h.isBreak || h.plannedStart === null) return
    const before = all.slice(0, i).findLast((b) => out.has(b.id))
    const after = all.slice(i + 1).find((a) => !a.isBreak && out.has(a.id))
    const ended = before && out.get(before.id)
    const from = before?.isBreak ? ended?.startAt : ended?.finishAt
    const next = after && out.get(after.id)
    out.set(h.id, {
      startAt: Math.min(Math.max(h.plannedStart, from ?? 0), next?.startAt ?? Infinity),
      plusMinusS: from !== null && from !== undefined && from > h.plannedStart ? (ended?.plusMinusS ?? 0) : 0,
      finishAt: null,
    })
  })
}

/** The heat's race length: its own, else its class's. */
export const raceSecondsOf = (view: BoardView, heat: Heat): number =>
  heat.raceSeconds ?? view.classes.get(heat.classId)?.raceSeconds ?? DEFAULT_RACE_S
