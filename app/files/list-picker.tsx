import { SelectField } from '@/app/ui'
import type { NamedList } from './list-names'

/** Which list of the board. */
export function ListPicker({
  lists,
  value,
  onChange,
}: {
  lists: readonly NamedList[]
  value: string
  onChange: (id: string) => void
}) {
  return (
    <SelectField
      label="List"
      options={lists.map((l) => ({ id: l.id, label: l.label, detail: l.doc === 'kit' ? 'Kit' : 'Meeting' }))}
      value={value}
      onChange={(next) => onChange(next ?? value)}
    />
  )
}
