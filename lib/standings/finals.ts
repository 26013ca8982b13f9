import type { StandingsRules } from './rules'

/** A final as the rules fill it before anybody has run in one. */
export interface DrawnFinal {
  /** `A`, `B` and so on, the highest first. */
  letter: string
  /** By qualifying place. */
  drivers: readonly string[]
  /** Seats kept for those who move up from the final below. */
  kept: number
}

export const finalLetter = (at: number): string => String.fromCharCode(65 + Math.min(at, 25))

/**
 * How the finals fill from the qualifying order: the best directly into A, the next into B; all but the lowest final keep seats for those who move up. Common
 * practice, no source.
 *
 * @param order best first
 */
export function drawFinals(
  rules: Pick<StandingsRules, 'finalSize' | 'bumpUps'>,
  order: readonly string[],
): DrawnFinal[] {
  const { finalSize, bumpUps } = rules
  if (finalSize === null || order.length === 0) return []
  const finals: DrawnFinal[] = []
  for (let from = 0; from < order.length;) {
    const isLowest = order.length - from <= finalSize
    const seats = isLowest ? finalSize : finalSize - bumpUps
    finals.push({
      letter: finalLetter(finals.length),
      drivers: order.slice(from, from + seats),
      kept: isLowest ? 0 : bumpUps,
    })
    from += seats
  }
  return finals
}

/** One final as it stands. */
export interface FinalOrder {
  letter: string
  /** Best first; those who are level stand together. */
  places: readonly { driver: string; place: number }[]
  isComplete: boolean
}

/**
 * The order of the whole class over its finals: A before B. Who moved up counts where they got to, and takes no place below.
 *
 * @param qualifying those in no final follow in this order
 */
export function overallOrder(
  finals: readonly FinalOrder[],
  qualifying: readonly { driver: string; place: number }[],
): { driver: string; place: number; final: string | null }[] {
  const rows: { driver: string; place: number; final: string | null }[] = []
  const seen = new Set<string>()
  const add = (list: readonly { driver: string; place: number }[], final: string | null) => {
    const here = list.filter((r) => !seen.has(r.driver))
    const before = rows.length
    for (const { driver, place } of here) {
      // Places close up where somebody is counted higher up.
      rows.push({ driver, place: before + 1 + here.filter((o) => o.place < place).length, final })
      seen.add(driver)
    }
  }
  for (const f of [...finals].sort((a, b) => (a.letter < b.letter ? -1 : 1))) add(f.places, f.letter)
  add(qualifying, null)
  return rows
}

/** Who moves up out of a final: the best of it, once it is run. */
export const movesUp = (final: FinalOrder, bumpUps: number): string[] =>
  final.isComplete && final.letter !== 'A'
    ? final.places.filter((r) => r.place <= bumpUps).map((r) => r.driver)
    : []
