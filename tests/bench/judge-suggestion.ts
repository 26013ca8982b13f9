import { PINION_REACH, suggest, type Change, type Suggestion } from '@/lib/suggestions'
import { recordsOf } from '../referee/as-entered'
import { cardOfSeason, type Outcome, type SuggestionSeason } from '../referee/suggestion-season'

/** What a referee's car can turn: its pinion, as the card's own changes reach. */
const pinionChanges = (pinion: number): Change[] =>
  PINION_REACH.flatMap((n) =>
    pinion + n >= 8
      ? [
          {
            parameterId: 'pinion',
            label: 'Pinion',
            unit: 't',
            from: pinion,
            to: pinion + n,
            inputs: [{ id: 'pinion' as const, value: pinion + n }],
            caution: n > 0 ? ('can' as const) : null,
          },
        ]
      : [],
  )

export interface SuggestionVerdict {
  suggestion: Suggestion | undefined
  today: Outcome
  /** With the suggestion, and with a change by chance. */
  then: Outcome | null
  byChance: Outcome
  /** No pinion that was tried makes it better. */
  nothingHelps: boolean
}

/** °C: a can above this is too hot. °C and shares of a lap: less than this is no difference. */
const HOT = 95
const COOLER_BY = 3
const FASTER_BY = 0.002
const LOSS = 0.03

/** Better: a hot can that is cooler for no more than 3% of a lap, or a faster lap with a can that is not too hot. */
export function isBetter(today: Outcome, then: Outcome): boolean {
  if (today.canC > HOT)
    return then.canC < today.canC - COOLER_BY && then.meanLapS < today.meanLapS * (1 + LOSS)
  return then.meanLapS < today.meanLapS * (1 - FASTER_BY) && then.canC <= HOT
}

/** What would help: twice the least that counts as better, by any of a few pinions. */
const helps = (today: Outcome, then: Outcome): boolean =>
  today.canC > HOT ? isBetter(today, then) : then.meanLapS < today.meanLapS * (1 - 0.01) && then.canC <= HOT

export function judgeSuggestion(season: SuggestionSeason, chance: number): SuggestionVerdict | null {
  const basis = { ...cardOfSeason(season), records: recordsOf(season.kept, 3) }
  const changes = pinionChanges(season.pinion)
  const [suggestion] = suggest(basis, changes)
  const random = changes[Math.floor(chance * changes.length)]
  if (!random) return null
  const tried = [
    season.pinion,
    random.to,
    ...(suggestion ? [suggestion.change.to] : []),
    ...[-5, -3, 3, 5].map((n) => Math.max(8, season.pinion + n)),
  ]
  const driven = season.next(tried)
  const [today, byChance] = driven ?? []
  if (!driven || !today || !byChance) return null
  return {
    suggestion,
    today,
    then: suggestion ? (driven[2] ?? null) : null,
    byChance,
    nothingHelps: driven.slice(1).every((o) => !helps(today, o)),
  }
}
