import { resultFault, type RunEnd, type RunResult } from '../board'
import { fold } from '../board/fold-name'
import { readSeconds } from '../core/read-seconds'
import { badRow, type RowProblem, type TableRow } from '../tables'
import { isNobody, type ListedResult } from './listed'
import { COMBINED, type ListLayout } from './result-columns'
import { walkRows, type Cells } from './walk-rows'

/** Every racer's result in a list, and what is wrong with the rows that give none. */
export function readResults(
  rows: readonly TableRow[],
  layout: ListLayout,
): { results: ListedResult[]; problems: RowProblem[] } {
  const problems: RowProblem[] = []
  const results: ListedResult[] = []
  for (const { row, cells, racer, heat } of walkRows(rows, layout, problems)) {
    if (isNobody(racer)) {
      if (Object.keys(cells).length > 1)
        problems.push(
          badRow(
            row.line,
            'Driver',
            '',
            'is missing',
            'Enter name, number or transponder, or delete the row.',
          ),
        )
      continue
    }
    const read = readOne(row.line, cells)
    if ('reason' in read && 'line' in read) problems.push(read)
    else results.push({ line: row.line, racer, heat, result: read })
  }
  return { results, problems }
}

const DID_NOT_START = /\bdns\b|\bdid not start\b|\bno start\b|\bnicht gestartet\b/
const DID_NOT_FINISH = /\bdnf\b|\bdid not finish\b|\bretired\b|\bret\b|\bausgefallen\b/

/** How it ended, wherever the list says so: in a column of its own, or in place of a number. */
function endOf(cells: Cells): { ended: RunEnd; reason?: string } | null {
  for (const cell of [cells.status, cells.position, cells.result, cells.laps, cells.time]) {
    const text = fold(cell ?? '')
    const ended = DID_NOT_START.test(text)
      ? 'did-not-start'
      : DID_NOT_FINISH.test(text)
        ? 'did-not-finish'
        : null
    if (!ended) continue
    const reason = (/[:,–-]\s*(.+)$/.exec(cell ?? '')?.[1] ?? '').trim().slice(0, 200)
    return { ended, ...(reason && { reason }) }
  }
  return null
}

function readOne(line: number, cells: Cells): RunResult | RowProblem {
  const bad = (field: string, value: string | undefined, reason: string, remedy: string) =>
    badRow(line, field, (value ?? '').slice(0, 60), reason, remedy)
  const end = endOf(cells)
  const combined = COMBINED.exec(cells.result ?? '')
  const lapsText = combined?.[1] ?? cells.laps
  const timeText = combined?.[2] ?? cells.time
  const isWord = (text: string | undefined) => text !== undefined && !/\d/.test(text)
  const lapsSaid = end && isWord(lapsText) ? undefined : lapsText
  const timeSaid = end && isWord(timeText) ? undefined : timeText

  if (cells.result && !combined && !end)
    return bad('Laps and time', cells.result, 'is not a result', 'Write it like 13/5:02.4.')
  const laps = lapsSaid === undefined ? null : /^\d{1,3}$/.test(lapsSaid) ? Number(lapsSaid) : undefined
  if (laps === undefined || (laps !== null && laps > 500))
    return bad('Laps', lapsSaid, 'is not a number of laps', 'Enter a whole number up to 500.')
  const seconds = timeSaid === undefined ? null : readSeconds(timeSaid)
  if (timeSaid !== undefined && seconds === null)
    return bad('Time', timeSaid, 'is not a time', 'Write it like 5:02.4 or 302.4.')
  if (seconds !== null && seconds > 7200)
    return bad('Time', timeSaid, 'is longer than two hours', 'Check which column holds the time.')
  if (!end && (laps === null || seconds === null))
    return bad(
      laps === null ? 'Laps' : 'Time',
      '',
      'is missing',
      'Enter it, or say that the car did not start or finish.',
    )
  const place = placeOf(cells.position, end !== null)
  if (place === undefined)
    return bad('Place', cells.position, 'is not a place', 'Enter a number from 1 to 200.')
  const best = cells.best === undefined || /^[-–]+$/.test(cells.best) ? null : readSeconds(cells.best)
  if (cells.best !== undefined && best === null && !/^[-–]+$/.test(cells.best))
    return bad('Best lap', cells.best, 'is not a lap time', 'Write it like 22.41.')
  if (best !== null && best > 0 && (best < 1 || best > 3600))
    return bad('Best lap', cells.best, 'is out of range', 'A lap takes 1 to 3600 s.')
  const result: RunResult = {
    laps: end?.ended === 'did-not-start' ? 0 : (laps ?? 0),
    seconds: end?.ended === 'did-not-start' ? 0 : (seconds ?? 0),
    ...(place !== null && { position: place }),
    ...(best !== null && best > 0 && { bestLapS: best }),
    ...(laps === 0 && !end && { ended: 'did-not-finish' as const }),
    ...end,
  }
  const fault = result.ended ? null : resultFault(result)
  return fault ? { ...fault.error, line, severity: 'bad' } : result
}

/** Null when the list gives none; undefined when what stands there is none. */
function placeOf(text: string | undefined, mayBeWords: boolean): number | null | undefined {
  if (text === undefined || /^[-–]+$/.test(text)) return null
  const found = /^(?:p|pos\.?)?\s*(\d{1,3})\s*(?:\.|st|nd|rd|th)?$/i.exec(text)
  if (!found) return mayBeWords ? null : undefined
  const place = Number(found[1])
  return place >= 1 && place <= 200 ? place : undefined
}
