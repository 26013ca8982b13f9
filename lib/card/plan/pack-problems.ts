import type { BoardView } from '../../board'
import type { RunInfo } from '../day/runs'

/** The highest resting voltage the class allows, its tolerance included; null when the class has no limit. */
export function voltageLimit(run: Pick<RunInfo, 'run' | 'raceClass'>): number | null {
  const limit = run.raceClass?.voltageLimitV
  return limit === undefined ? null : limit + (run.raceClass?.voltageToleranceV ?? 0)
}

/** What is wrong with the pack that this run was promised, wherever it lies now. */
export function packProblems(view: BoardView, run: Pick<RunInfo, 'run' | 'raceClass'>): string[] {
  const pack = view.packs.get(run.run?.packId?.v)
  if (!pack) return ['the assigned pack is not in the kit']
  const label = pack.label ?? 'pack'
  const problems: string[] = []
  if (pack.removed || pack.state?.v === 'retired') problems.push(`${label} is retired`)
  if (pack.health === 'suspect') problems.push(`${label} is suspect`)
  const cells = run.raceClass?.cells
  if (cells !== undefined && pack.cells !== undefined && pack.cells !== cells)
    problems.push(`${label} has ${pack.cells} cells, the class runs ${cells}`)
  const state = pack.state?.v
  if (state !== 'charged' && state !== 'in-car' && state !== 'retired')
    problems.push(`${label} is not charged`)
  return problems
}
