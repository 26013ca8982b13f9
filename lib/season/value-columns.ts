import type { Setting } from '../board'

/**
 * What was in the cars of a meeting, by parameter id: each value with the runs that had it, by their place in the meeting's list. Most values are those of
 * many runs: it is a fraction of what the same by run takes to keep, read back and search.
 */
export type ValueColumns = Readonly<Record<string, readonly (readonly [Setting, readonly number[]])[]>>
export type RunValues = Readonly<Record<string, Setting>>

export function columnsOf(runs: readonly RunValues[]): ValueColumns {
  const columns = new Map<string, Map<Setting, number[]>>()
  for (const [n, values] of runs.entries())
    for (const id in values) {
      const value = values[id] as Setting
      let column = columns.get(id)
      if (!column) columns.set(id, (column = new Map()))
      const known = column.get(value)
      if (known) known.push(n)
      else column.set(value, [n])
    }
  return Object.fromEntries([...columns].map(([id, column]) => [id, [...column]]))
}

/** The same by run. Nothing is worked out until one is asked for. */
export function valuesIn(columns: ValueColumns): (n: number) => RunValues {
  let rows: Record<string, Setting>[] | null = null
  return (n) => {
    rows ??= rowsOf(columns)
    return rows[n] ?? {}
  }
}

function rowsOf(columns: ValueColumns): Record<string, Setting>[] {
  const rows: Record<string, Setting>[] = []
  for (const [id, column] of Object.entries(columns))
    for (const [value, runs] of column)
      for (const n of runs) {
        const row = (rows[n] ??= {})
        row[id] = value
      }
  return rows
}
