import { resultFault, type RunEnd, type RunResult } from '../board'
import { fold } from '../board/fold-name'
import { readSeconds } from '../core/read-seconds'
import { badRow, doubtfulRow, type RowProblem, type TableRow } from '../tables'
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
    if ('severity' in read) problems.push(read)
    else results.push({ line: row.line, racer, heat, ...read })
  }
  return { results, problems }
}

const ENDS: readonly [RunEnd, string][] = [
  ['did-not-start', 'dns|did not start|no start|nicht gestartet'],
  ['did-not-finish', 'dnf|did not finish|retired|ausgefallen'],
]
/** Said in short, and a part of many other words: only where nothing else stands in the cell. */
const SHORT: readonly [RunEnd, string][] = [['did-not-finish', 'ret']]

interface End {
  ended: RunEnd
  reason?: string
  /** Nothing else stands in the cell, or a reason after a mark: `DNF: broken arm`, and not `did not finish the first lap cleanly`. */
  isSure: boolean
}

/** How it ended, in place of a number: anywhere in the cell. */
const endInNumber = (cell: string | undefined): End | null => {
  const text = fold(cell ?? '')
  const found =
    ENDS.find(([, words]) => new RegExp(`\\b(?:${words})\\b`).test(text)) ??
    SHORT.find(([, word]) => text === word)
  if (!found) return null
  // Behind the word: in front of it stand laps and time.
  const behind = new RegExp(`\\b(?:${found[1]})\\b\\s*[:,;(–-]\\s*(\\D.*?)\\)?$`, 'i').exec(cell ?? '')?.[1]
  const reason = reasonOf(behind)
  return { ended: found[0], isSure: true, ...(reason && { reason }) }
}

/** How it ended, in a column of its own, which may hold remarks as well: it says so only where it begins with it. */
function endInRemark(cell: string | undefined): End | null {
  const text = (cell ?? '').trim()
  for (const [ended, words] of [...ENDS, ...SHORT]) {
    const found = new RegExp(`^(?:${words.replaceAll(' ', '[ -]')})(?![\\p{L}\\d])\\.?(.*)$`, 'iu').exec(text)
    if (!found) continue
    const rest = (found[1] ?? '').trim()
    if (rest !== '' && SHORT.some(([, word]) => word === words)) continue
    const marked = /^(?:[:,;–-]|\(.*\)$)/.test(rest)
    const reason = reasonOf(rest.replace(/^[\s:,;(–-]+/, '').replace(/\)$/, ''))
    return { ended, isSure: rest === '' || marked, ...(reason && { reason }) }
  }
  return null
}

/** The number beside how it ended, as in `7/2:44.0 DNF: broken arm` or `DNF (7 laps in 2:44.0)`. */
function withoutEnd(cell: string | undefined): string | undefined {
  if (!cell || !endInNumber(cell)) return cell
  const words = ENDS.map(([, of]) => of).join('|')
  const rest = cell
    .replace(new RegExp(`\\b(?:${words})\\b`, 'i'), '')
    .replace(/\s[:,;(–-]+\s*\p{L}.*$/u, '')
    .replace(/^[\s:,;(–-]+|[\s:,;)–-]+$/g, '')
  return /^\d/.test(rest) ? rest : cell
}

const reasonOf = (text = ''): string => text.trim().slice(0, 200)

const endOf = (cells: Cells): End | null =>
  endInRemark(cells.status) ??
  endInNumber(cells.position) ??
  endInNumber(cells.result) ??
  endInNumber(cells.laps) ??
  endInNumber(cells.time)

type ReadResult = Pick<ListedResult, 'result' | 'lacks' | 'doubt'>

function readOne(line: number, cells: Cells): ReadResult | RowProblem {
  const bad = (field: string, value: string | undefined, reason: string, remedy: string) =>
    badRow(line, field, (value ?? '').slice(0, 60), reason, remedy)
  const end = endOf(cells)
  const combined = COMBINED.exec(withoutEnd(cells.result) ?? '')
  const lapsText = combined?.[1] ?? withoutEnd(cells.laps)
  const timeText = combined?.[2] ?? withoutEnd(cells.time)
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
    ...(end && { ended: end.ended }),
    ...(end?.reason && { reason: end.reason }),
  }
  const fault = result.ended ? null : resultFault(result)
  if (fault) return { ...fault.error, line, severity: 'bad' }
  const isWhole = laps !== null && laps > 0 && seconds !== null
  return {
    result,
    lacks: end
      ? [...(laps === null ? (['laps'] as const) : []), ...(seconds === null ? (['seconds'] as const) : [])]
      : [],
    doubt:
      end && !end.isSure && isWhole
        ? doubtfulRow(
            line,
            'Did not start or finish',
            (cells.status ?? '').slice(0, 60),
            'is beside whole laps and a time',
            'Imported as said there. Empty the cell if the car did finish.',
          )
        : null,
  }
}

/** Null when the list gives none; undefined when what stands there is none. */
function placeOf(text: string | undefined, mayBeWords: boolean): number | null | undefined {
  if (text === undefined || /^[-–]+$/.test(text)) return null
  const found = /^(?:p|pos\.?)?\s*(\d{1,3})\s*(?:\.|st|nd|rd|th)?$/i.exec(text)
  if (!found) return mayBeWords ? null : undefined
  const place = Number(found[1])
  return place >= 1 && place <= 200 ? place : undefined
}
