import { compareCards, lapProjections, type ProjectionBasis, type RunRecordOf } from '@/lib/card'

import { asEntered, nextPinion, recordsAsTyped, recordsOf, type KeptSeason } from './as-entered'

/** Card's figures by their ids there, and where the referee's race has them. */
export const judged = [
  ['chargeUsed', 'chargeMah'],
  ['endVoltage', 'endV'],
  ['lowestVoltage', 'lowV'],
  ['can', 'canC'],
  ['topSpeed', 'topMps'],
  ['meanLap', 'meanLapS'],
] as const
export type Judged = (typeof judged)[number][0]

export interface Verdict {
  held: boolean
  /** Half width over the value shown, and the truth's place: off over half width. */
  relative: number
  off: number
}

/** Of a known run: every figure that a card projects, or those alone that a team's screens take down. */
export type Known = 'all' | 'typed'

/** The next race of a season as the card shows it after `count` known runs, against what the referee drove. */
export const judgeNext = (
  kept: KeptSeason,
  count: number,
  known: Known = 'all',
): Record<Judged, Verdict> | null =>
  judgeCard(kept, nextCard(kept, (known === 'all' ? recordsOf : recordsAsTyped)(kept, count)))

/** The next race's card with these records. */
export const nextCard = (kept: KeptSeason, records: readonly RunRecordOf[]): ProjectionBasis => ({
  ...asEntered(kept, nextPinion(kept), kept.startSoc.at(-1) ?? 1),
  records: [...records],
})

export function judgeCard(kept: KeptSeason, basis: ProjectionBasis): Record<Judged, Verdict> | null {
  const shown = lapProjections(basis).figures
  const by = (id: string) => shown.find((f) => f.id === id)
  const laps = by('lapsDone')
  if (!laps?.value) return null
  const out = {} as Record<Judged, Verdict>
  for (const [id, key] of judged) {
    // The mean lap is shown as the laps done when time is up.
    const value = id === 'meanLap' ? laps.value : (by(id)?.value ?? Number.NaN)
    const half = id === 'meanLap' ? laps.plusMinus : (by(id)?.plusMinus ?? 0)
    const truth = id === 'meanLap' ? kept.season.raceSeconds / kept.next.meanLapS : kept.next[key]
    const off = (truth - value) / half
    out[id] = { held: Math.abs(off) <= 1, relative: half / Math.abs(value), off }
  }
  return out
}

/** A what-if of the season's trial, after no known run: what is shown of the mean lap, and what the referee's difference was. */
export function judgeTrial(kept: KeptSeason): { shown: number; plusMinus: number; true: number } | null {
  const soc = kept.startSoc.at(-1) ?? 1
  const { trial } = kept
  const c = compareCards(asEntered(kept, kept.season.pinion, soc), asEntered(kept, trial.pinion, soc, trial))
  const d = c.differences.find((x) => x.key === 'meanLapS')
  if (!d) return null
  return { shown: d.trial - d.today, plusMinus: d.plusMinus, true: kept.tried.meanLapS - kept.twin.meanLapS }
}
