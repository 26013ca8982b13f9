import { DEMO_CLASSES, DEMO_ROSTER, type DemoClass } from '../roster'
import { fieldOf } from './field'
import { MINUTE } from './story'

export const CLASS_IDS: Readonly<Record<DemoClass, string>> = {
  '2WD Modified': 'mod-2wd',
  '4WD Modified': 'mod-4wd',
}

export interface OrderHeat {
  id: string
  roundId: string
  classId: string | null
  number: number
  label: string
  plannedStart: number
  entries: readonly OrderEntry[]
  isBreak: boolean
}
export interface OrderEntry {
  id: string
  driver: string
  carNumber: string
  transponder: string
  grid: number
  carId: string | null
}

/** The heat of its class in which each of the team's cars runs. Anouk has one heat between her two. */
const HEAT_OF_CAR: Readonly<Record<string, number>> = {
  wren: 2,
  plover: 4,
  siskin: 4,
  dunlin: 5,
  kestrel: 1,
  rook: 2,
  curlew: 3,
  heron: 4,
}

/** The id of one of the team's entries, which is the id of its run. */
export const runIdOf = (roundId: string, carId: string): string => `${roundId}-${carId}`

const HEATS_PER_CLASS = 5
const CARS_PER_HEAT = 8
export const HEAT_SPACING = 8 * MINUTE

/** One qualifying round: five heats of two-wheel drive, then five of four-wheel drive, eight cars each, a heat every eight minutes. */
export function qualifyingHeats(roundId: string, firstStart: number): OrderHeat[] {
  return DEMO_CLASSES.flatMap((cls, classAt) => {
    const others = fieldOf(cls)
    return Array.from({ length: HEATS_PER_CLASS }, (_, i): OrderHeat => {
      const number = classAt * HEATS_PER_CLASS + i + 1
      const ours = DEMO_ROSTER.filter((r) => r.class === cls && HEAT_OF_CAR[r.carId] === i + 1)
      const guests = others.splice(0, CARS_PER_HEAT - ours.length)
      const id = `${roundId}-h${String(number).padStart(2, '0')}`
      const entries = [
        ...ours.map((r) => ({ ...r, id: runIdOf(roundId, r.carId), carId: r.carId })),
        ...guests.map((g, at) => ({ ...g, id: `${id}-${at + 1}`, carId: null })),
      ].map((e, at): OrderEntry => ({
        id: e.id,
        driver: e.driver,
        carNumber: e.carNumber,
        transponder: e.transponder,
        carId: e.carId,
        // Grid numbers turn with the heat, so that the team does not always start first.
        grid: ((at + number * 3) % CARS_PER_HEAT) + 1,
      }))
      return {
        id,
        roundId,
        classId: CLASS_IDS[cls],
        number,
        label: `${cls}, heat ${i + 1}`,
        plannedStart: firstStart + (number - 1) * HEAT_SPACING,
        entries: entries.sort((a, b) => a.grid - b.grid),
        isBreak: false,
      }
    })
  })
}

export const breakAfter = (roundId: string, label: string, plannedStart: number): OrderHeat => ({
  id: `${roundId}-break`,
  roundId,
  classId: null,
  number: 0,
  label,
  plannedStart,
  entries: [],
  isBreak: true,
})

/** The finals: B finals, then three legs of each A final. Who runs in them is not known before the last round has ended. */
export function finalHeats(roundId: string, firstStart: number): OrderHeat[] {
  const legs = ['B final', 'A final, leg 1', 'A final, leg 2', 'A final, leg 3']
  return legs
    .flatMap((leg) => DEMO_CLASSES.map((cls) => ({ leg, cls })))
    .map(({ leg, cls }, i): OrderHeat => ({
      id: `${roundId}-h${String(i + 1).padStart(2, '0')}`,
      roundId,
      classId: CLASS_IDS[cls],
      number: i + 1,
      label: `${cls}, ${leg}`,
      plannedStart: firstStart + i * 12 * MINUTE,
      entries: [],
      isBreak: false,
    }))
}
