import type { BoardView, Heat, RunResult } from '../board'
import { canonicalJson } from '../core/json'
import { badRow, doubtfulRow, isBad, type RowProblem } from '../tables'
import { findEntry, findHeat, type FoundEntry, type ListChoices } from './find-entry'
import { racerText, type ListedHeatName, type ListedRacer, type ListedResult, type ReadList } from './listed'

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
  writes: Pick<PlannedRow, 'entryId' | 'field' | 'value' | 'was'>[]
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
    place(r.line, r.racer, r.heat, 'result', (id) => {
      const result = withWhatStays(view.runs.get(id)?.result?.v, r)
      const laps = view.runs.get(id)?.laps?.v
      problems.push(...[r.doubt, laps && sumDoubt('result', r, result, laps)].filter((p) => !!p))
      return result
    })
  for (const l of list.laps)
    place(l.line, l.racer, l.heat, 'laps', (id) => {
      const result = view.runs.get(id)?.result?.v
      problems.push(...[result && sumDoubt('laps', l, result, l.laps)].filter((p) => !!p))
      return l.laps
    })
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
      .map(({ entryId, field, value, was }) => ({ entryId, field, value, was })),
  }
}

const same = (a: RunResult | number[], b: RunResult | number[]): boolean =>
  canonicalJson(a) === canonicalJson(b)

/**
 * A list seldom has everything: a best lap, a reason that somebody typed, and how far a car came that did not finish stay where the new list has none.
 */
function withWhatStays(was: RunResult | null | undefined, { result: now, lacks }: ListedResult): RunResult {
  if (!was) return now
  const isOut = now.ended === 'did-not-start'
  const laps = lacks.includes('laps') && !isOut ? was.laps : now.laps
  const seconds = lacks.includes('seconds') && !isOut ? was.seconds : now.seconds
  const best = now.bestLapS ?? was.bestLapS
  const fits = best !== undefined && laps > 0 && (seconds === 0 || best * laps <= seconds + 0.01 * laps)
  const position = now.position ?? was.position
  const reason = now.reason ?? (now.ended && now.ended === was.ended ? was.reason : undefined)
  return {
    ...now,
    laps,
    seconds,
    ...(position !== undefined && { position }),
    ...(fits && { bestLapS: best }),
    ...(reason !== undefined && { reason }),
  }
}

/** Laps that do not add up to the result are somebody else's, or lack one. `listed`: which of the two the list brings. */
function sumDoubt(
  listed: 'result' | 'laps',
  { line, racer }: { line: number; racer: ListedRacer },
  result: RunResult,
  laps: readonly number[],
): RowProblem | null {
  if (result.ended) return null
  const sum = laps.reduce((a, b) => a + b, 0)
  const says = (ofLaps: string, ofResult: string) =>
    listed === 'laps'
      ? doubtfulRow(
          line,
          'Laps',
          ofLaps,
          `the result of ${racerText(racer)} has ${ofResult}`,
          'Imported as listed. Check the lap list.',
        )
      : doubtfulRow(
          line,
          'Result',
          ofResult,
          `the lap list of ${racerText(racer)} has ${ofLaps}`,
          'Imported as listed. Check the lap list.',
        )
  if (laps.length !== result.laps) return says(`${laps.length}`, `${result.laps}`)
  return Math.abs(sum - result.seconds) > SUM_TOLERANCE_S
    ? says(`${sum.toFixed(1)} s in total`, `${result.seconds.toFixed(1)} s`)
    : null
}
