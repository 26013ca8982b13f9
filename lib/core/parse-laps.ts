import { refuse, type Refusal } from './result'

export interface LapList {
  laps: number[]
  /** Entries that are no lap time, each named by its line. Nothing is taken while there is one. */
  problems: Refusal[]
}

/** A worked example: the list, and what it comes to. */
export const LAP_EXAMPLE = {
  list: '22.4 22.6 22.3 31.0 22.5',
  text: '22.4, 22.6, 22.3, 31.0 and 22.5 s: sum 120.8, mean 24.16, standard deviation 3.825, median 22.5, median distance to it 0.1, best three in a row 67.3 s. The crash in lap 4 makes the first spread, not the second.',
} as const

const LAP = /^(?:(\d{1,2}):)?(\d{1,4}(?:[.,]\d+)?)$/
/** A lap's place in front of it, as timing sheets print it: `3) 22.41`, `#3 22.41`. */
const PLACE = /^\s*(?:\d+\)|#\d+:?)\s+/
const [LEAST_S, MOST_S] = [1, 3600]
export const MOST_LAPS = 2000

/**
 * Lap times as somebody copied them: one or many in a line, apart by spaces, semicolons or a comma with a space; `22.41`, `22,41` or `1:02.41`.
 *
 * @example parseLaps('22.4 22.6\n1:02,3').laps // [22.4, 22.6, 62.3], s
 */
export function parseLaps(text: string): LapList {
  const laps: number[] = []
  const problems: Refusal[] = []
  text.split(/\r?\n/).forEach((line, i) => {
    const entries = line
      .replace(PLACE, '')
      .split(/[\s;]+/)
      .map((e) => e.replace(/,$/, ''))
    for (const entry of entries.filter((e) => e !== '')) {
      const found = LAP.exec(entry)
      const field = `Line ${i + 1}`
      if (!found) {
        problems.push(
          refuse(field, entry.slice(0, 20), 'is not a lap time', 'Write seconds, as in 22.41 or 1:02.41.')
            .error,
        )
        continue
      }
      const [, minutes, rest = ''] = found
      const seconds = Number(rest.replace(',', '.'))
      const lap = 60 * Number(minutes ?? 0) + seconds
      if (minutes !== undefined && seconds >= 60)
        problems.push(
          refuse(field, entry, 'has 60 seconds or more after the minutes', 'Write 0 to 59.').error,
        )
      else if (lap < LEAST_S || lap > MOST_S)
        problems.push(refuse(field, entry, 'is out of range', `A lap takes ${LEAST_S} to ${MOST_S} s.`).error)
      else laps.push(lap)
    }
  })
  if (laps.length > MOST_LAPS)
    problems.push(refuse('Lap list', `${laps.length} laps`, 'is too long', `Up to ${MOST_LAPS} laps.`).error)
  return { laps, problems }
}
