import type { Result } from '../core/result'
import { ok } from '../core/result'
import { readTable, type Separation, type Table } from '../tables'
import type { ReadList } from './listed'
import { guessLapLayout, type LapLayout } from './lap-layout'
import { readLapList } from './read-laps'
import { readResults } from './read-results'
import { guessListLayout, type ListKind, type ListLayout, type ListRole } from './result-columns'

/** What a person may say against what was found. */
export interface ListSettings {
  kind: ListKind | null
  roles: readonly ListRole[] | null
  lapLayout: LapLayout | null
  by: Separation | null
}
export const AS_FOUND: ListSettings = { kind: null, roles: null, lapLayout: null, by: null }

/** A list understood as far as it can be without the board. */
export interface UnderstoodList {
  table: Table
  layout: ListLayout
  kind: ListKind
  lapLayout: LapLayout
  list: ReadList
}

/** From text to a list: which kind it is, what its columns hold, and every row. */
export function readList(text: string, settings: ListSettings = AS_FOUND): Result<UnderstoodList> {
  const table = readTable(text, settings.by ?? undefined)
  if (!table.ok) return table
  const { rows } = table.value
  const found = guessListLayout(rows)
  const layout = settings.roles ? { ...found, roles: [...settings.roles] } : found
  const lapLayout = settings.lapLayout ?? guessLapLayout(rows, layout)
  const kind = settings.kind ?? guessKind(layout, lapLayout)
  const read =
    kind === 'results'
      ? { ...readResults(rows, layout), laps: [] }
      : { ...readLapList(rows, layout, lapLayout), results: [] }
  return ok({
    table: table.value,
    layout,
    kind,
    lapLayout,
    list: { ...read, problems: [...table.value.problems, ...read.problems] },
  })
}

function guessKind({ roles }: ListLayout, lapLayout: LapLayout): ListKind {
  if (roles.includes('result') || (roles.includes('laps') && roles.includes('time'))) return 'results'
  if (lapLayout !== 'column-per-car') return 'laps'
  return roles.includes('position') || roles.includes('status') ? 'results' : 'laps'
}
