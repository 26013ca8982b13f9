import type { ReactNode } from 'react'

/** A column's name: of words, of figures (flush right), or of acts (for screen readers only, and not on paper). */
export type ColumnHead = string | { figures: string } | { acts: string }

/** A plain table of its own width in a part that scrolls by hand, finger and keyboard. `children`: its bodies. */
export function RuledTable({
  label,
  head,
  className,
  children,
}: {
  label: string
  head: readonly ColumnHead[]
  className?: string
  children: ReactNode
}) {
  return (
    <div className="table-scroll" tabIndex={0} role="region" aria-label={label}>
      <table className={className ? `data-table ${className}` : 'data-table'}>
        <thead>
          <tr>
            {head.map((c) =>
              typeof c === 'string' ? (
                <th key={c} scope="col">
                  {c}
                </th>
              ) : 'figures' in c ? (
                <th key={c.figures} scope="col" className="is-number">
                  {c.figures}
                </th>
              ) : (
                <th key={c.acts} scope="col" className="no-print">
                  <span className="visually-hidden">{c.acts}</span>
                </th>
              ),
            )}
          </tr>
        </thead>
        {children}
      </table>
    </div>
  )
}
