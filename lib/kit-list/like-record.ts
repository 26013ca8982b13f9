import type { BoardView, KitCollection } from '../board'
import type { Json } from '../core/json'
import { kitColumns } from './kit-columns'

/** What copies of a record take over from it: all but its name, its own numbers and what was measured or counted on it. */
export function likeRecord(
  view: BoardView,
  collection: KitCollection,
  recordId: string,
): Record<string, Json> {
  const record = view[collection].get(recordId) as Record<string, Json | undefined> | undefined
  if (!record) return {}
  return Object.fromEntries(
    kitColumns(collection).flatMap((c) => {
      const value = record[c.field]
      return c.own || value === undefined || value === null ? [] : [[c.field, value] as const]
    }),
  )
}

/** Lists that hang on a record and go along with its copies, by the field that names it. */
const CHILDREN: Partial<Record<KitCollection, { collection: KitCollection; parent: string }>> = {
  controllers: { collection: 'controllerParameters', parent: 'controllerId' },
  checklists: { collection: 'checklistItems', parent: 'checklistId' },
}

/** What hangs on a record (a speed control's parameters, a checklist's items), as the fields that a copy of it gets. */
export function childrenOf(
  view: BoardView,
  collection: KitCollection,
  recordId: string,
): { collection: KitCollection; parent: string; records: Record<string, Json>[] } | null {
  const child = CHILDREN[collection]
  if (!child) return null
  const rows = view[child.collection].live as readonly object[] as readonly Record<string, Json>[]
  const records = rows
    .filter((r) => r[child.parent] === recordId)
    .map(({ id: _, [child.parent]: __, ...rest }) => rest)
  return { ...child, records }
}
