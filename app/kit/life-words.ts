import { figureText } from '@/lib/core/figure-text'
import type { Leaving, Threshold, Trend } from '@/lib/season'

const monthDay = new Intl.DateTimeFormat('en-US', { day: 'numeric', month: 'short', year: 'numeric' })
/** `May 2, 2026` */
export const lifeDayText = (at: number): string => monthDay.format(at)

/** Days. */
export const MONTH = 30

interface Face {
  unit: string
  digits: number
}

/** `Rises 0.12 mΩ a month (nine in ten: 0.05 to 0.20).` */
export function trendWords(
  trend: Trend | null,
  points: number,
  { unit, digits }: Face,
  per: { word: string; x: number },
): string {
  if (points === 0) return ''
  if (!trend)
    return points < 4
      ? `${points} of the 4 readings that a trend needs.`
      : 'The readings lie too close together in time for a trend.'
  const show = (slope: number) => figureText(Math.abs(slope) * per.x, { digits: digits + 1 })
  const percent = Math.floor(trend.level * 100)
  if (trend.low <= 0 && trend.high >= 0)
    return `No change that ${points} readings can tell from chance: between ${signed(trend.low * per.x, digits + 1)} and ${signed(trend.high * per.x, digits + 1)} ${unit} ${per.word} (${percent}%).`
  const [near, far] = trend.slope > 0 ? [trend.low, trend.high] : [trend.high, trend.low]
  const way = `${trend.slope > 0 ? 'Rises' : 'Falls'} ${show(trend.slope)} ${unit} ${per.word}`
  // Readings that lie on a line as closely as they are written down.
  if (show(near) === show(far)) return `${way} (${points} readings).`
  return `${way}, between ${show(near)} and ${show(far)} (${percent}%, ${points} readings).`
}

const signed = (v: number, digits: number) => `${v > 0 ? '+' : ''}${figureText(v, { digits })}`

/** `Leaves the races above 6.0 mΩ: twice its first readings, common practice, no source.` */
export function limitWords(threshold: Threshold, { unit, digits }: Face, usual: string): string {
  const whose = threshold.isCommonPractice ? `${usual}, common practice, no source` : 'set by your team'
  return `Leaves the races ${threshold.side} ${figureText(threshold.value, { digits, unit })} (${whose}).`
}

/** When it leaves, from days since `from`; `now`: both ms since the epoch. */
export function leavingWords(leaving: Leaving, from: number, now: number, { unit, digits }: Face): string {
  const day = (x: number) => lifeDayText(from + x * 86_400_000)
  switch (leaving.state) {
    case 'past':
      return `It is past that now, at ${figureText(leaving.value, { digits, unit })}: use it for practice only.`
    case 'at':
      if (from + leaving.x * 86_400_000 < now)
        return `At this rate it got there around ${day(leaving.x)}: read it again, and use it for practice until then.`
      return `At this rate it gets there around ${day(leaving.x)}, ${leaving.to === null ? `at the earliest ${day(leaving.from)}` : `between ${day(leaving.from)} and ${day(leaving.to)}`}.`
    case 'not-before':
      return `Not before ${day(leaving.x)}, on what we have.`
    case 'no-trend':
      return 'Not on what we have.'
    case 'too-few':
      return leaving.points === 0 ? '' : 'Too few readings to say when.'
  }
}
