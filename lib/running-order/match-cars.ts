import type { BoardView } from '../board/board-view'
import type { Car } from '../board/collections'
import { classKey, nameKey } from '../board/fold-name'
import type { ListedEntry } from './running-order'

/** One racer in one class, over all rounds of the file: what a correction by hand is made for. */
export const racerKey = (classText: string, entry: Pick<ListedEntry, 'driverName' | 'transponder'>): string =>
  `${classKey(classText)}|${nameKey(entry.driverName) || entry.transponder}`

export interface CarMatch {
  /** Null: not one of the team's, or nobody can tell which. */
  carId: string | null
  by: 'choice' | 'transponder' | 'car number' | 'driver' | 'none'
  /** What does not fit; somebody should look. */
  doubt: string | null
}

const digits = (transponder: string | undefined) =>
  (transponder ?? '').replace(/[^A-Za-z0-9]/g, '').toUpperCase()

/**
 * Which of the team's cars an entry is: by transponder, then by driver's name within the class, then by car number within the class. A
 * transponder that says one thing and a name that says another are both shown.
 *
 * @param drive driven wheels of the class; undefined when the class does not say
 */
export function matchCar(view: BoardView, entry: ListedEntry, drive: '2wd' | '4wd' | undefined): CarMatch {
  const cars = view.cars.live
  const fits = (car: Car) => drive === undefined || car.drive === undefined || car.drive === drive
  const driverOf = (car: Car) => view.people.get(car.driverId)?.name ?? ''
  const byName = cars.filter((c) => nameKey(driverOf(c)) === nameKey(entry.driverName))
  const named = byName.filter(fits)

  const code = digits(entry.transponder)
  const tagged = code === '' ? undefined : cars.find((c) => digits(c.transponder) === code)
  if (tagged) {
    if (!fits(tagged)) {
      // The transponder moved to the driver's other car.
      const other = cars.filter((c) => c.driverId === tagged.driverId && fits(c))
      const only = other.length === 1 ? other[0] : undefined
      return {
        carId: only?.id ?? null,
        by: only ? 'driver' : 'none',
        doubt: `The transponder belongs to ${tagged.name ?? 'a car'}, which is not of this class.`,
      }
    }
    const says = driverOf(tagged)
    const doubt =
      nameKey(says) === nameKey(entry.driverName)
        ? null
        : `The transponder is ${tagged.name ?? 'a car'}’s (${says}), the name reads ${entry.driverName}.`
    return { carId: tagged.id, by: 'transponder', doubt }
  }
  const [only, second] = named
  if (only && !second) {
    const doubt =
      code !== '' && digits(only.transponder) !== ''
        ? `The transponder ${entry.transponder} is not ${only.name ?? 'this car'}’s (${only.transponder}).`
        : null
    return { carId: only.id, by: 'driver', doubt }
  }
  if (only && second)
    return {
      carId: null,
      by: 'none',
      doubt: `${entry.driverName} has ${named.length} cars that fit this class: pick one.`,
    }
  if (byName.length > 0)
    return { carId: null, by: 'none', doubt: `${entry.driverName} has no car of this class in the kit.` }

  const numbered = cars.filter((c) => fits(c) && c.carNumber && c.carNumber === entry.carNumber)
  const numberedOnly = numbered.length === 1 ? numbered[0] : undefined
  // A number alone is weak: others carry it too. It counts when the name at least shares a word with the driver's.
  if (numberedOnly && sharesWord(driverOf(numberedOnly), entry.driverName))
    return {
      carId: numberedOnly.id,
      by: 'car number',
      doubt: `The number is ${numberedOnly.name ?? 'a car'}’s, the name reads ${entry.driverName}.`,
    }
  return { carId: null, by: 'none', doubt: null }
}

function sharesWord(a: string, b: string): boolean {
  const words = new Set(nameKey(a).split(' '))
  return nameKey(b)
    .split(' ')
    .some((w) => w.length > 2 && words.has(w))
}
