import { joinId, type BoardView, type CheckFact, type ChecklistKind, type Sign } from '../../board'
import { checkedFact, type CheckedFact } from './fact-grounds'

export interface ChecklistEntry {
  id: string
  text: string
  caution: string | null
  /** A signature on a fact counts while the fact is so, and for what it was when it was signed. */
  signed: Sign | null
  /** What the board itself knows about it; null for what only eyes and hands know. */
  fact: CheckedFact | null
}

export interface ChecklistStatus {
  checklistId: string
  name: string
  kind: ChecklistKind
  items: ChecklistEntry[]
  open: number
}

/** Items of the starter kit in kits that were written before an item could say what it is tied to. */
const STARTER_FACTS: Readonly<Record<string, CheckFact>> = {
  'before-staging-card': 'fitted',
  'before-staging-pack': 'powered',
  'before-staging-tires': 'shod',
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
        .map((item): ChecklistEntry => {
          const tied = item.fact ?? STARTER_FACTS[item.id]
          const fact = tied ? checkedFact(view, runId, tied) : null
          const signed = view.checks.get(joinId(runId, item.id))?.signed ?? null
          const counts = !fact || (fact.missing.length === 0 && signed?.covers === fact.covers)
          return {
            id: item.id,
            text: item.text ?? '',
            caution: item.caution ?? null,
            signed: counts ? signed : null,
            fact,
          }
        })
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
