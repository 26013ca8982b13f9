'use client'
import { COLUMN_ROLE_NAMES, COLUMN_ROLES, type ColumnRole } from '@/lib/running-order'
import { Note, SelectField, TicketSection } from '@/app/ui'
import type { Import } from './use-import'

const SAMPLES = 3

/** Every column with its first values and what it is taken for. */
export function ColumnsStep({ work }: { work: Import }) {
  const { layout, table } = work.understood
  if (!layout || !table) return null
  const last = Math.max(0, ...layout.headerLines)
  const body = table.rows.filter((r) => r.line > last)
  const set = (column: number, role: ColumnRole) =>
    work.change({
      // A role stands once: where it was before, the column is not used any more.
      roles: layout.roles.map((r, i) =>
        i === column ? role : r === role && role !== 'ignore' ? 'ignore' : r,
      ),
    })
  const missing = missingRoles(layout.roles)
  return (
    <>
      <TicketSection title="What each column is" level={2} />
      {missing && <Note tone="hot">{missing}</Note>}
      <div className="column-cards">
        {layout.names.map((name, i) => {
          const samples = [...new Set(body.map((r) => r.cells[i] ?? '').filter((c) => c !== ''))].slice(
            0,
            SAMPLES,
          )
          const role = layout.roles[i] ?? 'ignore'
          if (samples.length === 0 && name === '') return null
          return (
            <div key={i} className="column-card" data-used={role === 'ignore' ? 'no' : 'yes'}>
              <SelectField
                label={name || `Column ${i + 1}`}
                options={COLUMN_ROLES.map((r) => ({ id: r, label: COLUMN_ROLE_NAMES[r] }))}
                value={role}
                onChange={(id) => set(i, COLUMN_ROLES.find((r) => r === id) ?? 'ignore')}
              />
              <ul className="column-samples" aria-label={`First values of ${name || `column ${i + 1}`}`}>
                {samples.map((s) => (
                  <li key={s}>{s}</li>
                ))}
                {samples.length === 0 && <li className="small">empty</li>}
              </ul>
            </div>
          )
        })}
      </div>
    </>
  )
}

function missingRoles(roles: readonly ColumnRole[]): string | null {
  const has = (r: ColumnRole) => roles.includes(r)
  if (has('driver') || has('familyName') || has('givenName')) return null
  return 'No column has the drivers’ names, so heats will be imported without entries. If there is one, choose it above.'
}
