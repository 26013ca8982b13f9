import type { MeetingRecord } from '../../board'
import { isOneWay, type SeriesRules, type StandingsRules } from '../../standings'

/**
 * The rules of a class, with what is usual where it says nothing: places, of which the best so many count, the better result of a tie first. Common practice,
 * no source; the event's own rule book comes first.
 *
 * @returns the rules, and what of the class could not be used, in words
 */
export function rulesOfClass(c: MeetingRecord<'classes'> | undefined): {
  rules: StandingsRules
  problems: string[]
} {
  const problems: string[] = []
  const table = c?.pointsTable ?? []
  const usable = isOneWay(table)
  if (!usable)
    problems.push('The points table goes up and down, so places count instead. Correct it under Rules.')
  const score = (chosen: SeriesRules['score'] | undefined): SeriesRules['score'] => {
    const wanted = chosen ?? (table.length > 0 ? 'points' : 'place')
    if (wanted !== 'points') return wanted
    if (usable && table.length > 0) return 'points'
    if (usable) problems.push('Points need a points table, so places count instead. Enter it under Rules.')
    return 'place'
  }
  const shared = {
    table: usable ? [...table] : [],
    equalPlaces: c?.equalPlaces ?? 'share',
    noStart: c?.noStart ?? 'behind-class',
  } as const
  const finalSize = c?.finalSize ?? null
  const bumpUps = Math.min(c?.bumpUps ?? 0, (finalSize ?? 1) - 1)
  if (finalSize !== null && (c?.bumpUps ?? 0) > bumpUps)
    problems.push(`More move up than a final has seats: ${bumpUps} do. Correct it under Rules.`)
  return {
    rules: {
      rounds: {
        ...shared,
        score: score(c?.roundScore),
        counting: c?.countingRounds ?? null,
        ties: c?.tieChain ?? ['results-in-turn', 'fastest-run'],
      },
      legs: {
        ...shared,
        score: score(c?.legScore),
        counting: c?.countingLegs ?? null,
        ties: c?.legTieChain ?? ['results-in-turn', 'last-round', 'qualifying'],
      },
      finalSize,
      bumpUps: Math.max(0, bumpUps),
    },
    problems: [...new Set(problems)],
  }
}
