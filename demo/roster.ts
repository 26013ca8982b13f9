import type { Role } from '@/lib/core/role'

/** The demo's invented crew. Ids are fixed, so that an invitation can be made out to one of them before anybody has joined. */
export interface DemoPerson {
  id: string
  name: string
  role: Role
}

export const DEMO_TEAM = 'Saltmarsh Racing Crew'
export const DEMO_MEETING = 'Saltmarsh Autumn Open'
export const DEMO_TRACK = 'Saltmarsh Bowl'

export const DEMO_PEOPLE = [
  { id: 'petra-amsel', name: 'Petra Amsel', role: 'manager' },
  { id: 'ilse-brandt', name: 'Ilse Brandt', role: 'mechanic' },
  { id: 'bas-verhoef', name: 'Bas Verhoef', role: 'mechanic' },
  { id: 'maren-oduya', name: 'Maren Oduya', role: 'driver' },
  { id: 'tobiah-lund', name: 'Tobiah Lund', role: 'driver' },
  { id: 'anouk-reyes', name: 'Anouk Reyes', role: 'driver' },
  { id: 'joss-whitlow', name: 'Joss Whitlow', role: 'driver' },
] as const satisfies readonly DemoPerson[]
export type DemoPersonId = (typeof DEMO_PEOPLE)[number]['id']

/** Whom the demo's three printed links join as. */
export const DEMO_LINKS = {
  manager: 'petra-amsel',
  mechanic: 'ilse-brandt',
  driver: 'maren-oduya',
} as const satisfies Record<string, DemoPersonId>

export const DEMO_CLASSES = ['2WD Modified', '4WD Modified'] as const
export type DemoClass = (typeof DEMO_CLASSES)[number]

/** One of the team's entries, as a race office would print it. */
export interface RosterEntry {
  driver: string
  driverId: DemoPersonId
  car: string
  carId: string
  class: DemoClass
  carNumber: string
  /** Seven digits. */
  transponder: string
}

const entry = (
  driverId: DemoPersonId,
  car: string,
  cls: DemoClass,
  carNumber: string,
  transponder: string,
): RosterEntry => ({
  driver: DEMO_PEOPLE.find((p) => p.id === driverId)?.name ?? driverId,
  driverId,
  car,
  carId: car.toLowerCase(),
  class: cls,
  carNumber,
  transponder,
})

/** The team's eight entries: every driver races one car in each class, under one number, with a transponder per car. */
export const DEMO_ROSTER: readonly RosterEntry[] = [
  entry('maren-oduya', 'Rook', '4WD Modified', '14', '4180317'),
  entry('maren-oduya', 'Wren', '2WD Modified', '14', '4180325'),
  entry('tobiah-lund', 'Heron', '4WD Modified', '23', '5529041'),
  entry('tobiah-lund', 'Plover', '2WD Modified', '23', '5529066'),
  entry('anouk-reyes', 'Kestrel', '4WD Modified', '7', '3917742'),
  entry('anouk-reyes', 'Dunlin', '2WD Modified', '7', '3917758'),
  entry('joss-whitlow', 'Curlew', '4WD Modified', '31', '6642190'),
  entry('joss-whitlow', 'Siskin', '2WD Modified', '31', '6642203'),
]
