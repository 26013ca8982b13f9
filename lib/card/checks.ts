import { joinId, type BoardView, type ChecklistKind, type Sign } from '../board'

export interface ChecklistStatus {
  checklistId: string
  name: string
  kind: ChecklistKind
  items: { id: string; text: string; caution: string | null; signed: Sign | null }[]
  open: number
}

/** Lists that must be signed before a run may start. Calibration belongs to its follow-up, the after-run list comes after. */
export const BEFORE_START: readonly ChecklistKind[] = ['before-staging', 'inspection']

/** A run's checklists of some kinds, with what is signed. */
export function checklistsOf(
  view: BoardView,
  runId: string,
  kinds: readonly ChecklistKind[],
): ChecklistStatus[] {
  return view.checklists.live
    .filter((list) => list.kind !== undefined && kinds.includes(list.kind))
    .map((list) => {
      const items = view.checklistItems.live
        .filter((item) => item.checklistId === list.id)
        .map((item) => ({
          id: item.id,
          text: item.text ?? '',
          caution: item.caution ?? null,
          signed: view.checks.get(joinId(runId, item.id))?.signed ?? null,
        }))
      return {
        checklistId: list.id,
        name: list.name ?? 'Checklist',
        kind: list.kind ?? 'before-staging',
        items,
        open: items.filter((i) => !i.signed).length,
      }
    })
    .filter((list) => list.items.length > 0)
}

export const openChecks = (view: BoardView, runId: string): ChecklistStatus[] =>
  checklistsOf(view, runId, BEFORE_START).filter((list) => list.open > 0)
