import type { BoardView, LapMark, NextStep, Phase, Remark, RunEnd, RunResult, TireLook } from '@/lib/board'
import { clockText } from '@/lib/core/clock-text'
import { figureText } from '@/lib/core/figure-text'

/** What came of a run, as the screens say it. */
export const FEEL_WORDS: Readonly<Record<number, string>> = {
  1: 'Bad',
  2: 'Poor',
  3: 'Fair',
  4: 'Good',
  5: 'Very good',
}
export const NEXT_WORDS: Readonly<Record<NextStep, string>> = {
  leave: 'Leave it',
  'small-change': 'Small change',
  'big-change': 'Big change',
  talk: 'Talk',
}
export const STRENGTH_WORDS: Readonly<Record<number, string>> = { 1: 'a little', 2: 'clearly', 3: 'badly' }
export const PHASE_WORDS: Readonly<Record<Phase, string>> = { entry: 'Entry', middle: 'Middle', exit: 'Exit' }
export const TIRE_LOOK_WORDS: Readonly<Record<TireLook, string>> = {
  even: 'Even',
  rounded: 'Edges rounded',
  'one-sided': 'One side',
  torn: 'Torn or loose',
  done: 'Worn out',
}
export const END_WORDS: Readonly<Record<RunEnd, string>> = {
  'did-not-start': 'Did not start',
  'did-not-finish': 'Did not finish',
}
export const MARK_WORDS: Readonly<Record<LapMark, string>> = { crash: 'crash', pass: 'traffic' }

/** `Pushes, Sluice hairpin, entry, clearly` */
export const remarkText = (view: BoardView, r: Remark): string =>
  [
    view.handlingWords.get(r.wordId)?.name ?? 'a removed word',
    r.place ?? 'everywhere',
    r.phase && PHASE_WORDS[r.phase].toLowerCase(),
    STRENGTH_WORDS[r.strength],
  ]
    .filter(Boolean)
    .join(', ')

/** `13 laps in 5:02.4, place 3, best 22.41 s`; `did not finish, 7 laps in 2:44.0: broken arm` */
export function resultText({ laps, seconds, position, bestLapS, ended, reason }: RunResult): string {
  // A car that stopped on the way may have laps and no time.
  const time = seconds > 0 || !ended ? ` in ${clockText(seconds)}` : ''
  const run = laps > 0 || !ended ? `${laps} laps${time}` : null
  const said = [
    ended && END_WORDS[ended].toLowerCase(),
    run,
    position !== undefined && `place ${position}`,
    bestLapS !== undefined && `best ${figureText(bestLapS, { digits: 2, unit: 's' })}`,
  ]
    .filter(Boolean)
    .join(', ')
  return reason ? `${said}: ${reason}` : said
}
