import type { EQUAL_PLACES, NO_STARTS, ROUND_SCORES, TieKey } from '../core/standings-terms'

/** How several rounds, or the legs of a final, make one order. All of it is data: bodies and years differ. The board's fields for it: `lib/board/rules.ts`. */
export interface SeriesRules {
  score: (typeof ROUND_SCORES)[number]
  /** Points for first, second and so on; of points at least one. Past its end a falling table gives 0, a rising one goes up by 1 a place. */
  table: number[]
  /** The best so many rounds count; null: all of them. More than there are: all of them. */
  counting: number | null
  equalPlaces: (typeof EQUAL_PLACES)[number]
  noStart: (typeof NO_STARTS)[number]
  ties: TieKey[]
}

export interface StandingsRules {
  rounds: SeriesRules
  legs: SeriesRules
  /** Cars in a final; null: there are none. */
  finalSize: number | null
  /** How many of a lower final move up into the next one: fewer than it has cars. */
  bumpUps: number
}

/** Points by place that never turn: falling, the most win; rising, the fewest. */
export function isOneWay(table: readonly number[]): boolean {
  const steps = table.slice(1).map((p, i) => p - (table[i] ?? p))
  return steps.every((s) => s <= 0) || steps.every((s) => s >= 0)
}

/** Do fewer points win? Of places, and of tables that rise. */
export const isFewerBetter = (r: Pick<SeriesRules, 'score' | 'table'>): boolean =>
  r.score === 'place' || (r.score === 'points' && (r.table[0] ?? 0) < (r.table.at(-1) ?? 0))
