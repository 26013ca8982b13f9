'use client'
import { useEffect, useId, useRef, useState, type ReactNode } from 'react'
import type * as Plot from '@observablehq/plot'
import { Button } from './button'

export interface ChartTable {
  columns: readonly string[]
  rows: readonly (readonly (string | number | null)[])[]
}

export interface ChartProps {
  title: string
  /** One sentence with what the picture shows, for those who can't see it and for those in a hurry. */
  summary: ReactNode
  /**
   * The plot's options; `plot` is the library, loaded on first use, and `width` the room in px. Memoise the function: the picture is drawn
   * anew when it changes. Colours: `currentColor`, `var(--hot)`, `var(--calm)`, `var(--soft)`; tell series apart by dash or mark as well.
   */
  draw: (plot: typeof Plot, width: number) => Plot.PlotOptions
  /** The same figures as a table. */
  table: ChartTable
}

/** A chart as SVG with its figures as a table beside it. */
export function Chart({ title, summary, draw, table }: ChartProps) {
  const frame = useRef<HTMLDivElement>(null)
  const id = useId()
  const [width, setWidth] = useState(0)
  const [asTable, setAsTable] = useState(false)
  const [failed, setFailed] = useState(false)

  useEffect(() => {
    const el = frame.current
    if (!el) return
    const watch = new ResizeObserver(([entry]) => setWidth(Math.floor(entry?.contentRect.width ?? 0)))
    watch.observe(el)
    return () => watch.disconnect()
  }, [])

  useEffect(() => {
    const el = frame.current
    if (!el || width === 0 || asTable) return
    let gone = false
    let svg: Element | undefined
    import('@observablehq/plot')
      .then((plot) => {
        if (gone) return
        svg = plot.plot({
          width,
          style: {
            background: 'transparent',
            color: 'inherit',
            fontFamily: 'var(--face-number)',
            fontSize: '13px',
          },
          ...draw(plot, width),
        })
        svg.setAttribute('aria-hidden', 'true')
        el.replaceChildren(svg)
      })
      .catch(() => setFailed(true))
    return () => {
      gone = true
      svg?.remove()
    }
  }, [draw, width, asTable])

  return (
    <figure aria-labelledby={id} className="grid gap-1 min-w-0">
      <div className="flex flex-wrap items-baseline justify-between gap-2">
        <figcaption id={id} className="font-semibold">
          {title}
        </figcaption>
        <Button look="quiet" onPress={() => setAsTable(!asTable)} aria-pressed={asTable}>
          {asTable ? 'Show as a chart' : 'Show as a table'}
        </Button>
      </div>
      <div className="small">{summary}</div>
      {failed && (
        <p className="note note-hot">The chart could not be drawn. The table has the same figures.</p>
      )}
      <div ref={frame} className="min-w-0 overflow-hidden" hidden={asTable} />
      {asTable || failed ? <PlainTable label={title} {...table} /> : null}
    </figure>
  )
}

/** A table of figures without any act. */
export function PlainTable({ label, columns, rows }: ChartTable & { label: string }) {
  return (
    <div className="table-scroll" tabIndex={0} role="region" aria-label={label}>
      <table className="data-table">
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
