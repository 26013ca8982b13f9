'use client'
import { useId, useState, type ReactNode } from 'react'
import { Button } from './button'
import './styles/plots.css'

export interface PlotTable {
  columns: readonly string[]
  rows: readonly (readonly (string | number | null)[])[]
}

export interface PlotFrameProps {
  title: string
  /** One sentence with what the picture shows, for those who can't see it and for those in a hurry. */
  summary: ReactNode
  /** The same figures as a table: read out in the picture's place, printed below it, and shown when asked for. */
  table: PlotTable
  /** The picture. It is hidden from screen readers: what it shows is in the table. */
  children?: ReactNode
}

/** A picture with its figures as a table beside it. */
export function PlotFrame({ title, summary, table, children }: PlotFrameProps) {
  const id = useId()
  const [asTable, setAsTable] = useState(false)
  return (
    <figure aria-labelledby={id} className="relative grid gap-1 min-w-0">
      <div className="flex flex-wrap items-baseline justify-between gap-2">
        <figcaption id={id} className="font-semibold">
          {title}
        </figcaption>
        <Button look="quiet" onPress={() => setAsTable(!asTable)} aria-pressed={asTable}>
          Show as a table<span className="visually-hidden">: {title}</span>
        </Button>
      </div>
      <div className="small">{summary}</div>
      {children && <div hidden={asTable}>{children}</div>}
      <div className={asTable ? undefined : 'plot-table'}>
        <PlainTable label={title} isFocusable={asTable} {...table} />
      </div>
    </figure>
  )
}

/** A table of figures without any act. */
function PlainTable({
  label,
  columns,
  rows,
  isFocusable,
}: PlotTable & { label: string; isFocusable: boolean }) {
  return (
    <div className="table-scroll" {...(isFocusable && { tabIndex: 0, role: 'region', 'aria-label': label })}>
      <table className="data-table" aria-label={label}>
        <thead>
          <tr>
            {columns.map((c) => (
              <th key={c} scope="col">
                {c}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, i) => (
            <tr key={i}>
              {row.map((cell, j) => (
                <td key={j} className={typeof cell === 'number' ? 'is-number' : undefined}>
                  {cell ?? '–'}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}
