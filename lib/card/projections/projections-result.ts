import { clockText } from '../../core/clock-text'
import { isAbsent, likelyResults, paceFor, type RaceRun } from '../../setup-math'
import { figure, fixed, type Projection } from './projection-figure'
import type { ProjectionBasis } from './projections-basis'
import type { Figures, Interval } from './projections-spread'

/**
 * The race's result in two lines: whole laps with their finish, and the laps done when time is up. A count has no interval that holds nine in ten, so it
 * has chances; the laps done are continuous and carry the ±.
 */
export function resultProjections(
  basis: ProjectionBasis,
  race: RaceRun,
  f: Figures,
  spread: Readonly<Record<string, Interval>>,
): Projection[] {
  const { raceSeconds } = basis
  const done = f['distanceLaps'] ?? null
  const pace = paceFor({ raceSeconds, lapSeconds: Math.max(1, f['meanLapS'] ?? 1) })
  const [laps, finishS] = isAbsent(race.stopped)
    ? [pace.laps, pace.finishSeconds]
    : [race.laps, race.finishSeconds]
  const { lapForOneMore } = pace
  const counts = spread['meanLapS'] ? likelyResults(spread['meanLapS'].draws, raceSeconds) : []
  const minutes = `${fixed(raceSeconds / 60, raceSeconds % 60 ? 1 : 0)} minutes`
  const result = figure({
    id: 'result',
    group: 'lap',
    label: minutes,
    value: laps,
    text: `${laps} laps in ${clockText(finishS)}`,
    digits: 0,
    unit: '',
    detail: isAbsent(race.stopped)
      ? [
          ...(counts.length ? [chances(counts.filter((c) => c.likely))] : []),
          `One more lap below ${fixed(lapForOneMore, 2)} s a lap. Without traffic and mistakes.`,
        ].join(' ')
      : `It stops on lap ${race.stopped.onLap} after ${clockText(race.stopped.atS)}: ${race.stopped.reason}.`,
    alarm: !isAbsent(race.stopped),
  })
  const distance = figure({
    id: 'lapsDone',
    group: 'lap',
    label: `Laps done after ${minutes}`,
    value: done,
    digits: 1,
    unit: 'laps',
    spread: spread['distanceLaps'],
    detail: 'Where the car is when time is up. It finishes the lap it is on.',
  })
  return [result, distance]
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
const percent = (chance: number) => (chance > 0.995 ? 'over 99%' : `${fixed(100 * chance, 0)}%`)
