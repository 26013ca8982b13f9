import type { BoardView } from '../board/board-view'
import { titleOfHeat } from './heat-title'
import { heldByRun } from './held-by-run'
import type { ImportChoices, OrderChange, ResolvedHeat } from './import-plan'
import type { PlanWriter } from './plan-writer'

/** Flags removed what the file does not list any more, or says why it stays. */
export function dropWhatIsGone(
  view: BoardView,
  heats: readonly ResolvedHeat[],
  listedEntries: ReadonlySet<string>,
  bad: ReadonlySet<number>,
  choices: ImportChoices,
  w: PlanWriter,
  changes: OrderChange[],
): void {
  const listed = new Set(heats.map((h) => h.heatId))
  const groups = new Set(heats.map((h) => (h.listed.isBreak ? h.roundId : `${h.roundId}|${h.classId ?? ''}`)))
  const roundsListed = new Set(heats.map((h) => h.roundId))
  const liveEntries = view.entries.live
  for (const heat of view.heats.live) {
    const entries = liveEntries.filter((e) => e.heatId === heat.id && !listedEntries.has(e.id))
    const started = Boolean(heat.startedAt?.v)
    const title = titleOfHeat(view, heat)
    if (listed.has(heat.id)) {
      for (const e of entries) {
        const driver = e.driverName ?? ''
        const ours = Boolean(e.carId)
        if (started || bad.size > 0)
          changes.push({
            kind: 'entry-kept',
            heat: title,
            driver,
            why: started ? 'started' : 'rows-left-out',
            ours,
          })
        else {
          w.put('entries', e.id, { removed: true })
          changes.push({ kind: 'entry-removed', heat: title, driver, held: heldByRun(view, e.id), ours })
        }
      }
      continue
    }
    const inScope = heat.isBreak
      ? roundsListed.has(heat.roundId ?? '')
      : groups.has(`${heat.roundId ?? ''}|${heat.classId ?? ''}`)
    if (!inScope) continue
    const ours = entries.some((e) => e.carId)
    const why = started
      ? 'started'
      : bad.size > 0
        ? 'rows-left-out'
        : choices.keepHeatIds.includes(heat.id)
          ? 'chosen'
          : null
    if (why) changes.push({ kind: 'heat-kept', heat: title, why, ours })
    else {
      w.put('heats', heat.id, { removed: true })
      const held = entries.flatMap((e) => heldByRun(view, e.id).map((x) => `${e.driverName ?? ''}: ${x}`))
      changes.push({ kind: 'heat-dropped', heat: title, entries: entries.length, held, ours })
    }
  }
}
