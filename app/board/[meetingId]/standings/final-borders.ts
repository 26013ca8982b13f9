import type { ClassStandings } from '@/lib/card'
import { listText } from '@/lib/core/list-text'

/** Where the next final begins in the qualifying order: after so many drivers, what is said there. */
export function finalBorders({
  drawn,
  drivers,
  qualifying,
}: Pick<ClassStandings, 'drawn' | 'drivers' | 'qualifying'>): ReadonlyMap<number, string> {
  // Before a round is run by everybody there is no order to draw finals from.
  if (drawn.length < 2 || !qualifying.series.rounds.some((r) => r.isComplete)) return new Map()
  const name = (id: string) => drivers.find((d) => d.id === id)?.name ?? 'Somebody'
  const borders = new Map<number, string>()
  let at = 0
  for (const f of drawn) {
    const kept = f.kept > 0 ? `, with ${f.kept} who move${f.kept === 1 ? 's' : ''} up` : ''
    const [above, below] = [qualifying.table[at - 1], qualifying.table[at]]
    const level = above && below?.place === above.place ? [above.driver, ...above.levelWith].map(name) : []
    const doubt =
      level.length > 0 ? `. ${listText(level, 3)} are level: the event’s rules say who is in it` : ''
    borders.set(at, `${f.letter} final${kept}${doubt}`)
    at += f.drivers.length
  }
  return borders
}
