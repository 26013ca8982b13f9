/** How a round or a leg of a final is scored. */
export const ROUND_SCORES = ['place', 'points', 'laps-and-time'] as const

/** What parts drivers that are level, tried in order. `qualifying` is for finals: the order in which they qualified. */
export const TIE_KEYS = [
  'best-dropped',
  'best-result',
  'second-best-result',
  'results-in-turn',
  'most-firsts',
  'last-round',
  'last-rounds-in-turn',
  'fastest-run',
  'fastest-lap',
  'qualifying',
] as const
export type TieKey = (typeof TIE_KEYS)[number]

/** What drivers with the same result in a round get: the better place each, or the mean of the places that they take up together. */
export const EQUAL_PLACES = ['share', 'average'] as const

/** Where a driver without a start is placed: one behind everybody of the class, or one behind those who started in that round. */
export const NO_STARTS = ['behind-class', 'behind-round'] as const
