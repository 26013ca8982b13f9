import type { BoardView } from '@/lib/board'
import { NEW_MEETING } from '@/app/ui/navigation'

/** One thing that a team needs before its first heat. */
export interface FirstStep {
  id: 'people' | 'cars' | 'packs' | 'meeting' | 'order' | 'crew'
  title: string
  /** What is there, or what is still missing, in words. */
  state: string
  isDone: boolean
  /** Where it is done, and what its link says; empty while it waits for another step, or is not known to be missing. */
  href: string
  act: string
}

/** What the kit alone can't say; null while it is not known. */
export interface AskedElsewhere {
  /** Heats of the only meeting. */
  heats: number | null
  /** People beside this one who have a phone or a laptop on the board. */
  others: number | null
}

const count = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`

/** Cars need their motors and speed controls first. */
function wayToCars({ cars, motors, controllers }: BoardView): Pick<FirstStep, 'href' | 'act'> {
  if (cars.live.length > 0) return { href: '/kit/cars', act: 'Complete the cars' }
  if (motors.live.length === 0) return { href: '/kit/motors', act: 'Add motors' }
  if (controllers.live.length === 0) return { href: '/kit/controllers', act: 'Add speed controls' }
  return { href: '/kit/cars', act: 'Add cars' }
}

/** The way from an empty board to the first heat, in the order in which each step helps the next. Looks only at what is still missing. */
export function firstSteps(view: BoardView, { heats, others }: AskedElsewhere): FirstStep[] {
  const people = view.people.live.length
  const cars = view.cars.live
  const bare = cars.filter((c) => !c.driverId || !c.motorId || !c.controllerId)
  const packs = view.packs.live.length
  const chargers = view.chargers.live.length
  const meeting = view.meetings.live.toSorted((a, b) => (b.startsAt ?? 0) - (a.startsAt ?? 0))[0]
  // Who has had more than one meeting knows the way.
  const isOrderIn = view.meetings.live.length > 1 || (heats ?? 0) > 0
  const isAsked = meeting !== undefined && !isOrderIn && heats === null
  return [
    {
      id: 'people',
      title: 'People',
      state: people > 1 ? count(people, 'person', 'people') : 'only you so far: who drives, who wrenches?',
      isDone: people > 1,
      href: '/kit/people',
      act: 'Add people',
    },
    {
      id: 'cars',
      title: 'Cars',
      state:
        cars.length === 0
          ? 'none yet; add the motors and speed controls first'
          : bare.length > 0
            ? `${count(cars.length, 'car')}, ${bare.length} without a driver, a motor or a speed control`
            : count(cars.length, 'car'),
      isDone: cars.length > 0 && bare.length === 0,
      ...wayToCars(view),
    },
    {
      id: 'packs',
      title: 'Packs and chargers',
      state:
        packs > 0 && chargers > 0
          ? `${count(packs, 'pack')}, ${count(chargers, 'charger')}`
          : packs > 0
            ? `${count(packs, 'pack')}, no charger: no charge plan`
            : 'no packs yet: no charge plan',
      isDone: packs > 0 && chargers > 0,
      href: packs > 0 ? '/kit/chargers' : '/kit/packs',
      act: packs > 0 ? 'Add a charger' : 'Add packs',
    },
    {
      id: 'meeting',
      title: 'Meeting',
      state: meeting ? (meeting.name ?? 'Unnamed meeting') : 'none yet: name, day, track, classes',
      isDone: meeting !== undefined,
      href: NEW_MEETING,
      act: 'New meeting',
    },
    {
      id: 'order',
      title: 'Running order',
      state: isOrderIn
        ? heats
          ? count(heats, 'heat')
          : 'imported'
        : isAsked
          ? 'looking it up …'
          : meeting
            ? 'not in yet: paste the organizer’s list, or drop the file'
            : 'comes with the meeting',
      isDone: isOrderIn,
      // It is imported into a meeting: that step comes first.
      href: meeting && !isAsked ? `/board/${meeting.id}/setup/import` : '',
      act: 'Import it',
    },
    {
      id: 'crew',
      title: 'Crew',
      state:
        others === null
          ? 'asking the server …'
          : others > 0
            ? `${count(others, 'other person', 'other people')} on the board`
            : 'nobody else is on the board yet: invite by a code that a phone’s camera opens',
      isDone: (others ?? 0) > 0,
      href: '/crew',
      act: 'Invite',
    },
  ]
}
