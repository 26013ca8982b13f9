import { ordinal, type NeededQuestion } from '../../standings'
import type { ClassStandings } from './standings-now'

/** Something to reach for, and the question what it takes. */
export interface StandingsGoal {
  id: string
  /** `A final`, `3rd or better` */
  label: string
  question: NeededQuestion
  /** How one race is called there. */
  one: 'round' | 'leg'
}

/** A race that nobody gave a length. Common practice, no source. s */
const USUAL_RACE_S = 300

const placeLabel = (place: number): string => (place === 1 ? '1st place' : `${ordinal(place)} or better`)

/**
 * What one of our drivers can still reach: the winner's place, a place on the podium and each final in qualifying; in a final with legs left the first places
 * of it. Only while something is left to run.
 */
export function goalsOf(
  standings: ClassStandings,
  driver: string,
  raceSeconds: number | undefined,
): StandingsGoal[] {
  const race = raceSeconds ?? USUAL_RACE_S
  const final = standings.finals.find((f) => f.series.drivers.includes(driver) && !f.isComplete)
  if (final) {
    const by = standings.rules.legs.score === 'laps-and-time' ? 'result' : 'place'
    const places = [1, 3, ...(final.letter === 'A' ? [] : [standings.rules.bumpUps])]
    return unique(places, final.series.drivers.length).map((place) => ({
      id: `${final.letter}.${place}`,
      label: `${placeLabel(place)} in the ${final.letter} final`,
      one: 'leg',
      question: { series: final.series, driver, place, by, raceSeconds: race },
    }))
  }
  const { series } = standings.qualifying
  if (series.rounds.every((r) => r.isComplete)) return []
  let seats = 0
  const borders = new Map<number, string>()
  // Before a round is run by everybody there is no order to draw finals from.
  const drawn = series.rounds.some((r) => r.isComplete) ? standings.drawn : []
  for (const f of drawn) {
    seats += f.drivers.length
    if (seats < series.drivers.length) borders.set(seats, `${f.letter} final`)
  }
  return unique([1, 3, ...borders.keys()], series.drivers.length).map((place) => {
    const into = borders.get(place)
    return {
      id: `q.${place}`,
      label: into ? `${into} (${placeLabel(place)})` : placeLabel(place),
      one: 'round',
      question: { series, driver, place, by: 'result', raceSeconds: race },
    }
  })
}

const unique = (places: readonly number[], drivers: number): number[] =>
  [...new Set(places)].filter((p) => p >= 1 && p < Math.max(2, drivers)).sort((a, b) => a - b)
