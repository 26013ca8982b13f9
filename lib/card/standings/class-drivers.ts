import type { BoardView, Entry } from '../../board'
import { fold, nameKey } from '../../board/fold-name'

/** Somebody who races in a class. */
export interface ClassDriver {
  /** Stays the same as long as it is the same car of ours, or the same name. */
  id: string
  name: string
  carNumber: string
  /** One of the team's cars. */
  carId: string | null
}

export interface ClassDrivers {
  drivers: readonly ClassDriver[]
  /** Who drives an entry. */
  driverOf: ReadonlyMap<string, string>
}

/**
 * Who is who over the heats of a class: the same car of ours, else the same name. A name that stands twice in one round is told apart by transponder or number;
 * an entry without a name goes by these too.
 */
export function classDrivers(
  board: Pick<BoardView, 'cars' | 'people'>,
  rounds: readonly (readonly Entry[])[],
): ClassDrivers {
  const entries = rounds.flat()
  const key = (e: Entry) => nameKey(e.driverName ?? '')
  const twice = new Set<string>()
  for (const round of rounds) {
    const seen = new Set<string>()
    for (const e of round) {
      if (e.carId) continue
      if (seen.has(key(e))) twice.add(key(e))
      seen.add(key(e))
    }
  }
  // An entry that nobody gave to a car yet belongs to the car that has its name in this class, if only one has.
  const carByName = new Map<string, string | null>()
  for (const e of entries) {
    if (!e.carId || key(e) === '') continue
    const known = carByName.get(key(e))
    carByName.set(key(e), known === undefined || known === e.carId ? e.carId : null)
  }
  const inRound = new Map<Entry, ReadonlySet<string>>()
  for (const round of rounds) {
    const cars = new Set(round.flatMap((e) => (e.carId ? [e.carId] : [])))
    for (const e of round) inRound.set(e, cars)
  }
  const idOf = (e: Entry): { id: string; carId: string | null } => {
    if (e.carId) return { id: `car.${e.carId}`, carId: e.carId }
    const name = key(e)
    const carId = twice.has(name) ? null : carByName.get(name)
    if (carId && !inRound.get(e)?.has(carId)) return { id: `car.${carId}`, carId }
    const tag = fold(e.transponder ?? '') || fold(e.carNumber ?? '')
    if (name !== '' && !twice.has(name)) return { id: `name.${name}`, carId: null }
    return { id: tag ? `name.${name}.${tag}` : name ? `name.${name}` : `entry.${e.id}`, carId: null }
  }
  const drivers = new Map<string, ClassDriver>()
  const driverOf = new Map<string, string>()
  for (const e of entries) {
    const { id, carId } = idOf(e)
    driverOf.set(e.id, id)
    const known = drivers.get(id)
    const car = board.cars.get(carId)
    drivers.set(id, {
      id,
      name:
        known?.name ??
        e.driverName ??
        board.people.get(car?.driverId)?.name ??
        (e.carNumber ? `Car ${e.carNumber}` : 'Nobody named'),
      carNumber: known?.carNumber || (e.carNumber ?? ''),
      carId,
    })
  }
  return { drivers: [...drivers.values()], driverOf }
}
