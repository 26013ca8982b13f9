import { readSeconds } from './read-seconds'
import { ok, refuse, type Refusal, type Result } from './result'

export interface LapList {
  laps: number[]
  /** Entries that are no lap time, each named by its line. Nothing is taken while there is one. */
  problems: Refusal[]
}

const [LEAST_S, MOST_S] = [1, 3600]
/** A lap's place in front of it, as timing sheets print it: `3) 22.41`, `#3 22.41`. */
const PLACE = /^(?:\(?(\d{1,3})\)|#(\d+):?)$/

/** What stands for a lap that was not driven, or that nobody timed: nothing, or a dash. */
export const isNoLap = (text: string): boolean => text === '' || /^[-–.]+$/.test(text)

/** One lap time, s: `22.41`, `22,41` or `1:02.41`. */
export function readLap(field: string, text: string): Result<number> {
  const seconds = readSeconds(text)
  if (seconds === null)
    return refuse(
      field,
      text.slice(0, 40),
      'is not a lap time',
      'Write seconds or minutes, as in 22.41 or 1:02.41.',
    )
  return seconds < LEAST_S || seconds > MOST_S
    ? refuse(field, text, 'is out of range', `A lap takes ${LEAST_S} to ${MOST_S} s.`)
    : ok(seconds)
}

/**
 * Lap times as somebody copied them: one or many in a line, apart by spaces, semicolons, bars or a comma with a space. A lap that is missing between
 * others is named, since those below it would move up; at the end it is no lap.
 *
 * @param most how many laps there can be
 * @example parseLaps('22.4 22.6\n1:02,3', 500).laps // [22.4, 22.6, 62.3], s
 */
export function parseLaps(text: string, most: number): LapList {
  const laps: number[] = []
  const problems: Refusal[] = []
  let hole: string | null = null
  let place: number | null = null
  text.split(/\r?\n/).forEach((line, i) => {
    if (line.trim() === '') return
    const field = `Line ${i + 1}`
    for (const entry of entriesOf(line)) {
      const numbered = PLACE.exec(entry)
      if (numbered) {
        const next: number = Number(numbered[1] ?? numbered[2])
        if (place !== null && next !== place + 1)
          problems.push(
            refuse(field, entry, `is not the lap after ${place}`, 'Enter every lap, in order.').error,
          )
        place = next
      } else if (isNoLap(entry)) hole ??= field
      else {
        if (hole !== null)
          problems.push(
            refuse(hole, '', 'lacks a lap between others', 'Enter it, or delete the laps after it.').error,
          )
        hole = null
        const lap = readLap(field, entry)
        if (lap.ok) laps.push(lap.value)
        else problems.push(lap.error)
      }
    }
  })
  if (laps.length > most)
    problems.push(refuse('Lap list', `${laps.length} laps`, 'is too long', `Up to ${most} laps.`).error)
  return { laps, problems }
}

/** Two separators with nothing between them hold an entry that is blank; one that ends a line holds none. */
const entriesOf = (line: string): string[] =>
  line
    .replace(/^[\s;/|,]+|[\s;/|,]+$/g, '')
    .split(/\s*[;/|]\s*/)
    .flatMap((part) => part.split(/\s+/))
    .map((entry) => entry.replace(/,$/, ''))
