import {
  BoardReading,
  runEdit,
  type BoardDocs,
  type BoardView,
  type EditContext,
  type Writer,
} from '@/lib/board'
import { runsOf, type DayForecast, type RunInfo } from '@/lib/card'
import { ok, refusalText, type Result } from '@/lib/core/result'
import { DEMO_PEOPLE, type DemoPersonId } from '../roster'

export const SECOND = 1000
export const MINUTE = 60 * SECOND
export const HOUR = 60 * MINUTE
export const DAY = 24 * HOUR

/** An hour of the day so many days before, by the clock of whoever shows the demo: races are not run at night because it was opened at night. */
export function hourOfDay(now: number, daysBefore: number, hour: number): number {
  const day = new Date(now)
  day.setDate(day.getDate() - daysBefore)
  return day.setHours(hour, 0, 0, 0)
}

/** Something that one of the crew did at a moment. `do` sees the board as it was then. */
export interface Act {
  at: number
  by: DemoPersonId
  do: (ctx: EditContext, view: BoardView) => Result<unknown>
}

/** An act that writes records under fixed ids, for lists that have no edit of their own. */
export const write = (at: number, by: DemoPersonId, name: string, build: (w: Writer) => void): Act => ({
  at,
  by,
  do: (ctx) =>
    runEdit(ctx, name, (w) => {
      build(w)
      return ok(undefined)
    }),
})

/** Play the acts in the order of their times; acts of one moment in the order given. Throws when the board refuses one. */
export function play(docs: BoardDocs, acts: readonly Act[]): void {
  const reading = new BoardReading(docs)
  const ordered = acts
    .map((act, index) => ({ act, index }))
    .sort((a, b) => a.act.at - b.act.at || a.index - b.index)
  for (const { act } of ordered) {
    const role = DEMO_PEOPLE.find((p) => p.id === act.by)?.role ?? 'guest'
    const ctx: EditContext = { docs, actor: { personId: act.by, role }, clock: { now: () => act.at } }
    const done = act.do(ctx, reading.view())
    if (!done.ok) throw new Error(`The demo can’t be written: ${act.by}, ${refusalText(done.error)}`)
  }
  reading.close()
}

/** No forecast is needed to know what a run's accept covers or what its record holds. */
const WITHOUT_FORECAST: DayForecast = {
  heats: new Map(),
  driftS: 0,
  silentS: 0,
  gap: { meanSeconds: 0, halfWidthSeconds: 0, seen: 0 },
}

export function runInfo(view: BoardView, runId: string, at: number): RunInfo {
  const run = runsOf(view, at, WITHOUT_FORECAST).find((r) => r.runId === runId)
  if (!run) throw new Error(`The demo has no run ${runId}`)
  return run
}
