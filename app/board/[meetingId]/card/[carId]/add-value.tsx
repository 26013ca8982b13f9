'use client'
import { useState } from 'react'
import type { CardGroup } from '@/lib/board'
import type { CardRow } from '@/lib/card'
import { Dialog, FormField } from '@/app/ui'
import { hasKeys } from '@/app/ui/has-keys'

export interface AddValueProps {
  groups: readonly { id: CardGroup; name: string; rows: readonly CardRow[] }[]
  onChoose: (parameterId: string) => void
  onClose: () => void
}

/** Values that this card does not use yet, found by a few letters. */
export function AddValue({ groups, onChoose, onClose }: AddValueProps) {
  const [text, setText] = useState('')
  const wanted = text.trim().toLowerCase()
  const found = groups
    .map((g) => ({
      ...g,
      rows: g.rows.filter(
        (r) =>
          r.state === 'empty' &&
          (wanted === '' || `${g.name} ${r.parameter.label}`.toLowerCase().includes(wanted)),
      ),
    }))
    .filter((g) => g.rows.length > 0)
  const first = found[0]?.rows[0]?.parameter.id
  return (
    <Dialog title="Add a value" isOpen onOpenChange={(open) => !open && onClose()}>
      <FormField
        label="Which one?"
        type="search"
        value={text}
        onChange={setText}
        autoFocus={hasKeys()}
        hint="Speed control values come from the car’s own speed control. Its list is in the kit."
        onEnter={() => first && onChoose(first)}
      />
      {found.length === 0 && <p role="status">No unused value has that name.</p>}
      {found.map((g) => (
        <section key={g.id} aria-label={g.name}>
          <h3>{g.name}</h3>
          <div className="btn-row pt-2">
            {g.rows.map((r) => (
              <button
                key={r.parameter.id}
                type="button"
                className="btn"
                onClick={() => onChoose(r.parameter.id)}
              >
                {r.parameter.label}
                {r.parameter.unit && <span className="small">{r.parameter.unit}</span>}
              </button>
            ))}
          </div>
        </section>
      ))}
    </Dialog>
  )
}
