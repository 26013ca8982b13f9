import { REF_TARGETS, type BoardView, type RefField } from '@/lib/board'
import { compareNames } from '@/lib/core/compare-names'
import type { Option } from '@/app/ui'

/** What a record is called: its name, its label, or failing both a short part of its id. */
export const nameOf = (record: { id: string; name?: string; label?: string } | undefined): string =>
  record ? (record.name ?? record.label ?? `unnamed (${record.id.slice(0, 4)})`) : ''

/** The records to choose from. One that was removed but is still referred to stays in the list, so that the field does not look empty. */
export function refOptions(view: BoardView, field: RefField, current: string | null): Option[] {
  const rows = view[REF_TARGETS[field]]
  const options = rows.live.map((r): Option => ({ id: r.id, label: nameOf(r), detail: detailOf(r) }))
  if (current && !options.some((o) => o.id === current)) {
    const gone = rows.get(current)
    options.push({ id: current, label: gone ? `${nameOf(gone)} (removed)` : 'no longer in the kit' })
  }
  return options.sort((a, b) => compareNames(a.label, b.label))
}

const detailOf = (record: object): string | undefined => {
  if ('role' in record && typeof record.role === 'string') return record.role
  if ('drive' in record && typeof record.drive === 'string') return record.drive.toUpperCase()
  return undefined
}
