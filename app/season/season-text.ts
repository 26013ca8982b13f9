import { dayOfRun, isAfterMidnight, type SeasonRun, type SeasonSide } from '@/lib/season'
import { clockText } from '@/lib/core/clock-text'
import { figureText } from '@/lib/core/figure-text'
import { hereAs } from '@/lib/core/zone'
import { timeText } from '@/app/ui/time-text'
import { END_WORDS } from '@/app/words/debrief-words'
import type { SeasonRow } from './season-messages'

export const SIDE_WORDS: Readonly<Record<SeasonSide, string>> = {
  car: 'Car',
  driver: 'Driver',
  track: 'Track',
  surface: 'Surface',
  pack: 'Pack',
  tires: 'Tires',
  meeting: 'Meeting',
}

export const secondsText = (s: number | null): string => (s === null ? '–' : figureText(s, { digits: 2 }))

/** `+1.2%` is slower. */
export const paceText = (percent: number | null): string =>
  percent === null
    ? '–'
    : `${percent > 0 && Math.abs(percent) >= 0.05 ? '+' : ''}${figureText(percent, { digits: 1, unit: '%' })}`

export const wholeText = (value: number | null, unit: string): string =>
  value === null ? '–' : figureText(value, { digits: 0, unit })

export const runResultText = ({ laps, timeS, ended }: Pick<SeasonRow, 'laps' | 'timeS' | 'ended'>): string =>
  ended ? END_WORDS[ended] : laps === null || timeS === null ? '–' : `${laps}/${clockText(timeS)}`

/** `180 kB`, `2.4 MB`; thousands of bytes. */
export const sizeText = (bytes: number): string =>
  bytes < 1e6
    ? figureText(Math.max(1, Math.round(bytes / 1000)), { unit: 'kB' })
    : figureText(bytes / 1e6, { digits: 1, unit: 'MB' })

/** A day with its year: a season's days are not this week's. */
const day = new Intl.DateTimeFormat('en-US', { day: 'numeric', month: 'short', year: 'numeric' })
export const seasonDay = (at: number | null): string => (at === null ? 'no date' : day.format(at))

/** `28 Jun 2026, 00:20 after midnight`: a run's day and time. */
export const runTimeText = (run: Pick<SeasonRun, 'at' | 'day' | 'zone'>): string =>
  [
    seasonDay(dayOfRun(run)),
    run.at !== null &&
      `${timeText(hereAs(run.at, run.zone))}${isAfterMidnight(run) ? ' after midnight' : ''}`,
  ]
    .filter(Boolean)
    .join(', ')
