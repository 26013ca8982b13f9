import type { BoardView } from '../board/board-view'

/** What a run holds that would be out of sight if its entry went: named, so that nobody loses a promise without seeing it. */
export function heldByRun(view: BoardView, runId: string): string[] {
  const run = view.runs.get(runId)
  if (!run) return []
  const held: string[] = []
  const pack = view.packs.get(run.packId?.v)
  const tires = view.tireSets.get(run.tireSetId?.v)
  const mechanic = view.people.get(run.mechanicId?.v)
  if (pack) held.push(`pack ${pack.label ?? pack.id}`)
  if (tires) held.push(`tires ${tires.label ?? tires.id}`)
  if (mechanic) held.push(`mechanic ${mechanic.name ?? mechanic.id}`)
  if (run.accepted) held.push('the driver’s accept')
  if (run.record?.v) held.push('a run record')
  return held
}
