import type { BoardView } from '../board-view'
import type { RunResult } from '../debrief-fields'
import { setOfRun } from '../tires-of-run'
import { canWrite, type EditContext, type Writer } from '../write-session'

type CountedBy = -1 | 0 | 1

/** A heat's team runs: what its finish counts, or takes back. A car that did not start has run nothing. */
export function countHeat(w: Writer, view: BoardView, heatId: string, by: CountedBy, ms: number): void {
  for (const { id, heatId: its } of view.entries.live) {
    if (its !== heatId) continue
    const run = view.runs.get(id)
    if (run?.notCounted) {
      // Its finish is taken back: the next one asks anew.
      if (by === -1) w.meeting('runs', id, { notCounted: false })
    } else if (by === 1 && run?.result?.v?.ended === 'did-not-start') leaveOut(w, view, id)
    else countRun(w, view, id, by, ms)
  }
}

/**
 * The run of a heat that is over turned out to have been none, or one after all. A driver who says so may not write the
 * kit's counts: they stay until somebody of the crew notes the result.
 * @param t.result what is noted of it now
 */
export function recount(
  ctx: EditContext,
  w: Writer,
  view: BoardView,
  t: { runId: string; result: RunResult | null },
): void {
  const heat = view.heats.get(view.entries.get(t.runId)?.heatId)
  const [from, to] = [heat?.startedAt?.v, heat?.finishedAt?.v]
  const didStart = t.result?.ended !== 'did-not-start'
  const isCounted = !view.runs.get(t.runId)?.notCounted
  if (!from || !to || didStart === isCounted) return
  if (!canWrite(ctx, 'meeting', 'runs', t.runId, 'notCounted')) return
  countRun(w, view, t.runId, didStart ? 1 : -1, didStart ? to - from : from - to)
  if (didStart) w.meeting('runs', t.runId, { notCounted: false })
  else leaveOut(w, view, t.runId)
}

/** Only of a car of the team's: others' runs are counted nowhere. */
function leaveOut(w: Writer, view: BoardView, runId: string): void {
  if (view.cars.get(view.entries.get(runId)?.carId)) w.meeting('runs', runId, { notCounted: true })
}

/**
 * One run more or less for its car, its time, and the tires that were on. `ms`: how much longer the car has run. What one edit counts before is counted on:
 * a list may hold several runs of a car.
 */
function countRun(w: Writer, view: BoardView, runId: string, by: CountedBy, ms: number): void {
  const car = view.cars.get(view.entries.get(runId)?.carId)
  if (!car) return
  const now = (collection: 'cars' | 'tireSets', id: string, field: string) =>
    Number(w.reader.field('kit', collection, id, field) ?? 0)
  const minutes = Math.max(0, Math.round(10 * (now('cars', car.id, 'runMinutes') + ms / 60_000)) / 10)
  w.kit('cars', car.id, { runs: Math.max(0, now('cars', car.id, 'runs') + by), runMinutes: minutes })
  const set = view.tireSets.get(setOfRun(view.runs.get(runId)))
  if (set && by) w.kit('tireSets', set.id, { runs: Math.max(0, now('tireSets', set.id, 'runs') + by) })
}
