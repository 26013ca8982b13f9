import type { BoardView, Heat, RunResult } from '../board'
import { canonicalJson } from '../core/json'
import { badRow, doubtfulRow, isBad, type RowProblem } from '../tables'
import { findEntry, findHeat, type FoundEntry, type ListChoices } from './find-entry'
import { racerText, type ListedHeatName, type ListedRacer, type ReadList } from './listed'

/** One racer's row as it would be imported. */
export interface PlannedRow {
  line: number
  entryId: string
  /** As the running order has it. */
  driver: string
  isOurs: boolean
  by: FoundEntry['by']
  status: 'new' | 'same' | 'changed'
  field: 'result' | 'laps'
  value: RunResult | number[]
  /** What the board holds now. */
  was: RunResult | number[] | null
}

export interface PlannedHeat {
  heat: Heat
  rows: PlannedRow[]
  /** Racers of the heat that the list does not have: what they have stays. */
  unlisted: string[]
}

/** What importing a list would do, exactly. Nothing but results and laps is ever written. */
export interface ListPlan {
  heats: PlannedHeat[]
  problems: RowProblem[]
  writes: { entryId: string; field: 'result' | 'laps'; value: RunResult | number[] }[]
}

/** How far laps may add up to something else than the result's time, s. Our choice: a sheet rounds, and the first lap may begin at the line. */
const SUM_TOLERANCE_S = 1

export function planList(view: BoardView, list: ReadList, choices: ListChoices): ListPlan {
  const problems = [...list.problems]
  const heats = new Map<string, PlannedHeat>()
  const lineOf = new Map<string, number>()
  const place = (
    line: number,
    racer: ListedRacer,
    name: ListedHeatName,
    field: PlannedRow['field'],
    valueFor: (entryId: string) => RunResult | number[],
  ) => {
    const heat = findHeat(view, line, name, choices)
    if ('severity' in heat) return problems.push(heat)
    const found = findEntry(view, line, racer, heat)
    if ('severity' in found) return problems.push(found)
    const { entry, by, doubt } = found
    const first = lineOf.get(entry.id)
    if (first !== undefined)
      return problems.push(
        badRow(
          line,
          'Driver',
          racerText(racer),
          `is listed twice: line ${first} has it too`,
          'Delete one row.',
        ),
      )
    lineOf.set(entry.id, line)
    if (doubt) problems.push(doubt)
    const value = valueFor(entry.id)
    const was = view.runs.get(entry.id)?.[field]?.v ?? null
    let planned = heats.get(heat.id)
    if (!planned) heats.set(heat.id, (planned = { heat, rows: [], unlisted: [] }))
    planned.rows.push({
      line,
      entryId: entry.id,
      driver: entry.driverName ?? racerText(racer),
      isOurs: Boolean(entry.carId),
      by,
      field,
      value,
      was,
      status: was === null ? 'new' : same(was, value) ? 'same' : 'changed',
    })
  }
  for (const r of list.results)
    place(r.line, r.racer, r.heat, 'result', (id) => withWhatStays(view.runs.get(id)?.result?.v, r.result))
  for (const l of list.laps) {
    place(l.line, l.racer, l.heat, 'laps', (id) => {
      const doubt = sumDoubt(view.runs.get(id)?.result?.v, l.line, l.laps, l.racer)
      if (doubt) problems.push(doubt)
      return l.laps
    })
  }
  for (const planned of heats.values())
    planned.unlisted = view.entries.live
      .filter((e) => e.heatId === planned.heat.id && !lineOf.has(e.id))
      .map((e) => e.driverName ?? e.carNumber ?? '?')
  const rows = [...heats.values()].flatMap((h) => h.rows)
  return {
    heats: [...heats.values()],
    problems: problems.sort((a, b) => a.line - b.line || Number(isBad(b)) - Number(isBad(a))),
    writes: rows
      .filter((r) => r.status !== 'same')
      .map(({ entryId, field, value }) => ({ entryId, field, value })),
  }
}

const same = (a: RunResult | number[], b: RunResult | number[]): boolean =>
  canonicalJson(a) === canonicalJson(b)

/** A list seldom has everything: a best lap, or a reason that somebody typed, stays where the new list has none. */
function withWhatStays(was: RunResult | null | undefined, now: RunResult): RunResult {
  if (!was) return now
  const best = now.bestLapS ?? was.bestLapS
  const fits = best !== undefined && best * now.laps <= now.seconds + 0.01 * now.laps
  const position = now.position ?? was.position
  const reason = now.reason ?? (now.ended && now.ended === was.ended ? was.reason : undefined)
  return {
    ...now,
    ...(position !== undefined && { position }),
    ...(fits && !now.ended && { bestLapS: best }),
    ...(reason !== undefined && { reason }),
  }
}

/** Laps that do not add up to the result are somebody else's, or lack one. */
function sumDoubt(
  result: RunResult | null | undefined,
  line: number,
  laps: readonly number[],
  racer: ListedRacer,
): RowProblem | null {
  if (!result || result.ended) return null
  const sum = laps.reduce((a, b) => a + b, 0)
  if (laps.length !== result.laps)
    return doubtfulRow(
      line,
      'Laps',
      `${laps.length}`,
      `the result of ${racerText(racer)} has ${result.laps}`,
      'Imported as listed. Check the lap list.',
    )
  return Math.abs(sum - result.seconds) > SUM_TOLERANCE_S
    ? doubtfulRow(
        line,
        'Laps',
        `${sum.toFixed(1)} s in total`,
        `the result of ${racerText(racer)} has ${result.seconds.toFixed(1)} s`,
        'Imported as listed. Check the lap list.',
      )
    : null
}
