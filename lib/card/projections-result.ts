import { isAbsent, likelyResults, paceFor, type RaceRun } from '../setup-math'
import { figure, fixed, type Projection } from './projection-figure'
import type { ProjectionBasis } from './projections-basis'
import type { Figures, Interval } from './projections-spread'

/**
 * The race's result as the trade writes it, laps/time. Its value and its ± are those of the laps done when time is up, which are continuous; the whole
 * counts stand beside it with their chances, since a count has no interval that holds nine in ten.
 */
export function resultProjection(
  basis: ProjectionBasis,
  race: RaceRun,
  f: Figures,
  spread: Readonly<Record<string, Interval>>,
): Projection {
  const { raceSeconds } = basis
  const done = f['distanceLaps'] ?? null
  const { lapForOneMore } = paceFor({ raceSeconds, lapSeconds: Math.max(1, f['meanLapS'] ?? 1) })
  const counts = spread['meanLapS'] ? likelyResults(spread['meanLapS'].draws, raceSeconds) : []
  const shell = figure({
    id: 'result',
    group: 'lap',
    label: `${fixed(raceSeconds / 60, raceSeconds % 60 ? 1 : 0)} minutes`,
    value: done,
    text: `${race.laps}/${clockText(race.finishSeconds)}`,
    digits: 2,
    unit: '',
    spread: spread['distanceLaps'],
    detail: isAbsent(race.stopped)
      ? [
          ...(done === null ? [] : [`${fixed(done, 2)} laps are done when time is up.`]),
          ...(counts.length ? [chances(counts.filter((c) => c.likely))] : []),
          `One lap more below ${fixed(lapForOneMore, 2)} s a lap. Without traffic and mistakes.`,
        ].join(' ')
      : `It stops on lap ${race.stopped.onLap} after ${clockText(race.stopped.atS)}: ${race.stopped.reason}.`,
    alarm: !isAbsent(race.stopped),
  })
  return shell.plusMinusText ? { ...shell, plusMinusText: `${shell.plusMinusText} laps` } : shell
}

/** The counts in words, the likeliest first. */
function chances(counts: ReturnType<typeof likelyResults>): string {
  const told = [...counts]
    .sort((a, b) => b.chance - a.chance)
    .map(
      ({ laps, chance, finishLowS, finishHighS }) =>
        `${laps} laps with ${percent(chance)}, then finishing between ${clockText(finishLowS)} and ${clockText(finishHighS)}`,
    )
  return `${told.join('; ')}.`
}
const percent = (chance: number) => (chance > 0.995 ? 'over 99 %' : `${fixed(100 * chance, 0)} %`)

export const clockText = (s: number): string => `${Math.floor(s / 60)}:${fixed(s % 60, 1).padStart(4, '0')}`
