import { clockText } from '@/lib/core/clock-text'
import { figureText } from '@/lib/core/figure-text'
import type { RoundScored, SeriesRules } from '@/lib/standings'

/** `12/5:05.08`; of a driver without laps a dash. */
export const lapsText = ({ laps, seconds }: { laps: number; seconds: number }): string =>
  laps === 0 ? '–' : `${laps}/${clockText(seconds, 2)}`

/** What a round, or the sum of the rounds that count, is worth under the rules. */
export const worthText = (
  rules: Pick<SeriesRules, 'score'>,
  s: { points: number; laps: number; seconds: number },
): string => (rules.score === 'laps-and-time' ? lapsText(s) : figureText(Math.round(s.points * 100) / 100))

/** What is said of a score beside its figure. */
export function scoreNote(score: RoundScored | null, isDropped: boolean, isWaiting: boolean): string {
  if (!score) return 'not run yet'
  const words = [
    isWaiting && 'so far',
    isDropped && 'dropped',
    score.place === null && 'did not start',
    score.isUnfinished && 'did not finish',
  ].filter(Boolean)
  return words.join(', ')
}
