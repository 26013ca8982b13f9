'use client'
import { useRouter } from 'next/navigation'
import type { ReactNode } from 'react'
import { Cell, Column, Row, Table, TableBody, TableHeader, type SortDescriptor } from 'react-aria-components'
import { AriaRoot } from './aria-root'

export interface ColumnDef<R> {
  id: string
  label: string
  cell: (row: R) => ReactNode
  /** Figures are set flush right in the number face. */
  isNumber?: boolean
  isSortable?: boolean
  /** The column that names the row for screen readers; the first one when none says so. */
  isRowHeader?: boolean
}

export interface DataTableProps<R extends { id: string }> {
  label: string
  columns: readonly ColumnDef<R>[]
  rows: readonly R[]
  /** Enter or a press on a row. */
  onOpen?: (row: R) => void
  hrefOf?: (row: R) => string
  empty?: ReactNode
  sort?: SortDescriptor
  onSort?: (sort: SortDescriptor) => void
  selectedId?: string | null
  onSelect?: (id: string | null) => void
  textOf?: (row: R) => string
}

/** A ruled table walked with the arrow keys: up and down by row, left and right by cell, Enter opens, letters jump. */
export function DataTable<R extends { id: string }>(props: DataTableProps<R>) {
  const { label, columns, rows, onOpen, hrefOf, empty, sort, onSort, selectedId, onSelect, textOf } = props
  const router = useRouter()
  const header = columns.find((c) => c.isRowHeader)?.id ?? columns[0]?.id
  const open = onOpen ?? (hrefOf ? (row: R) => router.push(hrefOf(row)) : undefined)
  return (
    <div className="table-scroll">
      <AriaRoot>
        <Table
          aria-label={label}
          className="data-table"
          sortDescriptor={sort}
          onSortChange={onSort}
          selectionMode={onSelect ? 'single' : 'none'}
          selectionBehavior="replace"
          selectedKeys={selectedId ? [selectedId] : []}
          onSelectionChange={(keys) => onSelect?.(keys === 'all' ? null : String([...keys][0] ?? '') || null)}
          onRowAction={
            open
              ? (key) => {
                  const row = rows.find((r) => r.id === String(key))
                  if (row) open(row)
                }
              : undefined
          }
        >
          <TableHeader>
            {columns.map((c) => (
              <Column
                key={c.id}
                id={c.id}
                isRowHeader={c.id === header}
                allowsSorting={c.isSortable ?? false}
                className={c.isNumber ? 'is-number' : ''}
              >
                {({ sortDirection }) => (
                  <>
                    {c.label}
                    {sortDirection && (
                      <span aria-hidden="true">{sortDirection === 'ascending' ? ' ↑' : ' ↓'}</span>
                    )}
                  </>
                )}
              </Column>
            ))}
          </TableHeader>
          <TableBody renderEmptyState={() => <div className="p-4 small">{empty ?? 'Nothing here yet.'}</div>}>
            {rows.map((row) => (
              <Row key={row.id} id={row.id} textValue={textOf?.(row)}>
                {columns.map((c) => (
                  <Cell key={c.id} className={c.isNumber ? 'is-number' : ''}>
                    {c.cell(row)}
                  </Cell>
                ))}
              </Row>
            ))}
          </TableBody>
        </Table>
      </AriaRoot>
    </div>
  )
}
