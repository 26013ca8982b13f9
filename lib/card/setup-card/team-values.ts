import { joinId, type BoardView, type CardParameter, type Setting } from '../../board'

/** So many fit beside each other above a thumb. */
const MOST = 6

/**
 * What the team has of a value: all that is assigned or fitted on a car's card of this meeting, without what stands there now. Springs, oils and pistons
 * come in what lies in the box, not in steps. Numbers are those next to `now`, in their order; words as they sort.
 */
export function teamValues(
  view: Pick<BoardView, 'cardValues' | 'cars'>,
  parameter: Pick<CardParameter, 'id' | 'kind'>,
  now: Setting | null,
): Setting[] {
  const found = new Set<Setting>()
  for (const car of view.cars.live) {
    const value = view.cardValues.get(joinId(car.id, parameter.id))
    for (const v of [value?.assigned?.v, value?.fitted?.v])
      if (v != null && v !== now && typeof v === (parameter.kind === 'number' ? 'number' : 'string'))
        found.add(v)
  }
  const numbers = [...found].filter((v) => typeof v === 'number')
  const words = [...found].filter((v) => typeof v === 'string').sort()
  const near = typeof now === 'number' ? now : 0
  return parameter.kind === 'number'
    ? numbers
        .sort((a, b) => Math.abs(a - near) - Math.abs(b - near) || a - b)
        .slice(0, MOST)
        .sort((a, b) => a - b)
    : words.slice(0, MOST)
}
