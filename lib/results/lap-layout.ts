import { readSeconds } from '../core/read-seconds'
import type { TableRow } from '../tables'
import { lapOfHeading, type ListLayout } from './result-columns'

/** How a lap list is laid out. */
export const LAP_LAYOUTS = ['column-per-car', 'row-per-lap', 'row-per-car', 'one-cell'] as const
export type LapLayout = (typeof LAP_LAYOUTS)[number]
export const LAP_LAYOUT_NAMES: Readonly<Record<LapLayout, string>> = {
  'column-per-car': 'A column for each car',
  'row-per-lap': 'A row for each lap of a car',
  'row-per-car': 'A row for each car, a column for each lap',
  'one-cell': 'A row for each car, all laps in one cell',
}

/** Surely a lap: a whole number could be a car's or a lap's own. */
export const isLap = (text: string): boolean => {
  const s = readSeconds(text)
  return s !== null && s >= 1 && s <= 3600 && /[.:,]/.test(text)
}

/** How the list at hand is laid out, by its header and what is in it. */
export function guessLapLayout(rows: readonly TableRow[], layout: ListLayout): LapLayout {
  if (layout.roles.includes('lapTime') || (layout.roles.includes('lap') && layout.roles.includes('time')))
    return 'row-per-lap'
  if (layout.roles.includes('allLaps')) return 'one-cell'
  const numbered = layout.names.filter((n) => lapOfHeading(n) !== null).length
  if (layout.headerLine !== null && numbered >= 3 && namesRacer(layout)) return 'row-per-car'
  const body = rows.slice(0, 100)
  const crowded = body.filter((r) => r.cells.some((c) => c.split(/[\s;]+/).filter(isLap).length >= 3))
  if (crowded.length > body.length / 3) return 'one-cell'
  return 'column-per-car'
}

const namesRacer = ({ roles }: ListLayout): boolean =>
  roles.some((r) => ['driver', 'familyName', 'carNumber', 'transponder'].includes(r))
