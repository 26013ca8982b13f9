import type { BoardView } from '../board/board-view'
import type { Car } from '../board/collections'
import { classKey, nameKey } from '../board/fold-name'
import type { ListedEntry } from './running-order'

type Racer = Pick<ListedEntry, 'driverName' | 'carNumber' | 'transponder'>

/**
 * One racer in one class, over all rounds of the file: what a correction by hand is made for. Two people of one name are told apart by their
 * number, or else by their transponder.
 */
export const racerKey = (classText: string, entry: Racer): string =>
  [
    classKey(classText),
    nameKey(entry.driverName) || entry.transponder,
    foldCode(entry.carNumber) || foldCode(entry.transponder),
  ].join('|')

export interface CarMatch {
  /** Null: not one of the team's, or nobody can tell which. */
  carId: string | null
  by: 'choice' | 'transponder' | 'car number' | 'driver' | 'none'
  /** What does not fit; somebody should look. */
  doubt: string | null
  /** The import waits until somebody has said which car it is, or that it is none of ours. */
  ask: boolean
  /** Of a question: the car that it could be. */
  suggested: string | null
}

/** Numbers and transponders as they are compared: without blanks, dashes, leading zeros and case. */
export const foldCode = (code: string | undefined): string =>
  (code ?? '')
    .replace(/[^A-Za-z0-9]/g, '')
    .replace(/^0+(?=.)/, '')
    .toUpperCase()

/** `same` or `other` when both sides say something, else `unknown`. */
type Agreement = 'same' | 'other' | 'unknown'
export const compareCodes = (a: string | undefined, b: string | undefined): Agreement => {
  const [x, y] = [foldCode(a), foldCode(b)]
  return x === '' || y === '' ? 'unknown' : x === y ? 'same' : 'other'
}

/** How one of our cars compares with a racer of the list. */
interface Evidence {
  car: Car
  driver: string
  name: Agreement | 'similar'
  transponder: Agreement
  number: Agreement
}

/**
 * Which of the team's cars a racer of the list is. Driver's name, transponder and number are weighed together: where they agree the car is
 * taken, where one of them says something else the question is put to a person, with the car that it could be. A number alone decides
 * nothing, since others carry it too.
 *
 * @param drive driven wheels of the class; undefined when the class does not say
 */
export function matchCar(view: BoardView, entry: Racer, drive: '2wd' | '4wd' | undefined): CarMatch {
  const all = view.cars.live.map((car) => weigh(car, view.people.get(car.driverId)?.name ?? '', entry))
  const fitting = all.filter((e) => drive === undefined || e.car.drive === undefined || e.car.drive === drive)
  const tagged = fitting.find((e) => e.transponder === 'same')
  if (tagged) return byTransponder(tagged, entry)

  const elsewhere = all.find((e) => e.transponder === 'same')
  const named = fitting.filter((e) => e.name === 'same')
  const [only, second] = named
  if (only && second) {
    const numbered = named.filter((e) => e.number === 'same')
    if (numbered.length === 1 && numbered[0]) return byName(numbered[0], entry, elsewhere)
    return ask(null, `${entry.driverName} has ${named.length} cars in this class. Pick one.`)
  }
  if (only) return byName(only, entry, elsewhere)
  if (elsewhere) {
    const others = fitting.filter((e) => e.car.driverId === elsewhere.car.driverId)
    return ask(
      others.length === 1 ? (others[0]?.car ?? null) : null,
      `The transponder belongs to ${called(elsewhere)}, which is not in this class.`,
    )
  }
  if (all.some((e) => e.name === 'same'))
    return { ...NOBODY, doubt: `${entry.driverName} has no car in this class in the kit.` }

  const numbered = fitting.filter((e) => e.number === 'same' && e.name === 'similar')
  if (numbered.length === 1 && numbered[0])
    return ask(numbered[0].car, `The number is ${called(numbered[0])}’s, the name is ${entry.driverName}.`)
  return NOBODY
}

const NOBODY: CarMatch = { carId: null, by: 'none', doubt: null, ask: false, suggested: null }
const ask = (car: Car | null, doubt: string): CarMatch => ({
  ...NOBODY,
  doubt,
  ask: true,
  suggested: car?.id ?? null,
})
const take = ({ car }: Evidence, by: CarMatch['by'], doubt: string | null = null): CarMatch => ({
  carId: car.id,
  by,
  doubt,
  ask: false,
  suggested: null,
})
const called = ({ car }: Evidence) => car.name ?? 'a car'

function byTransponder(e: Evidence, entry: Racer): CarMatch {
  const whose = `The transponder is ${called(e)}’s${e.driver === '' ? '' : ` (${e.driver})`}`
  if (e.name === 'other') return ask(e.car, `${whose}, the name is ${entry.driverName}.`)
  return take(e, 'transponder', e.name === 'similar' ? `${whose}, the name is ${entry.driverName}.` : null)
}

function byName(e: Evidence, entry: Racer, elsewhere: Evidence | undefined): CarMatch {
  if (elsewhere)
    // The transponder moved to the driver's other car.
    return elsewhere.car.driverId === e.car.driverId
      ? take(e, 'driver', `The transponder belongs to ${called(elsewhere)}, which is not in this class.`)
      : ask(e.car, `The transponder belongs to ${called(elsewhere)}, which somebody else drives.`)
  const transponder = `The transponder ${entry.transponder} is not ${called(e)}’s (${e.car.transponder ?? ''}).`
  const number = `The number ${entry.carNumber} is not ${called(e)}’s (${e.car.carNumber ?? ''}).`
  if (e.transponder === 'other')
    return e.number === 'same'
      ? take(e, 'driver', transponder)
      : ask(
          e.car,
          e.number === 'other' ? `${transponder} ${number} Is it somebody with the same name?` : transponder,
        )
  return e.number === 'other' ? ask(e.car, number) : take(e, 'driver')
}

function weigh(car: Car, driver: string, entry: Racer): Evidence {
  const [ours, theirs] = [nameKey(driver), nameKey(entry.driverName)]
  const name =
    ours === '' || theirs === ''
      ? 'unknown'
      : ours === theirs
        ? 'same'
        : sharesWord(ours, theirs)
          ? 'similar'
          : 'other'
  return {
    car,
    driver,
    name,
    transponder: compareCodes(car.transponder, entry.transponder),
    number: compareCodes(car.carNumber, entry.carNumber),
  }
}

/** Do two names, as `nameKey` gives them, have a word in common? */
export function sharesWord(a: string, b: string): boolean {
  const words = new Set(a.split(' '))
  return b.split(' ').some((w) => w.length > 2 && words.has(w))
}
