import type { Role } from '@/lib/core/role'

/** One place of the app. Everything that links to places reads this list. */
export interface Place {
  id: PlaceId
  label: string
  /** Where it is; places inside a meeting need its id. */
  href: (meetingId: string) => string
  needsMeeting: boolean
  /** What can be done there, for the command list and the “More” sheet. */
  about: string
  /** Who finds it in the navigation; everybody when left out. (What may be done there is the policy's business.) */
  roles?: readonly Role[]
}
export type PlaceId =
  | 'jobs'
  | 'next'
  | 'wall'
  | 'order'
  | 'cards'
  | 'staging'
  | 'debrief'
  | 'standings'
  | 'plan'
  | 'duties'
  | 'kit'
  | 'crew'
  | 'setup'
  | 'history'
  | 'track'
  | 'tools'
  | 'season'
  | 'home'
  | 'help'

const inMeeting = (path: string) => (meetingId: string) => `/board/${meetingId}/${path}`
const outside = (path: string) => () => path

export const PLACES: readonly Place[] = [
  {
    id: 'jobs',
    label: 'My jobs',
    href: inMeeting('jobs'),
    needsMeeting: true,
    about: 'All that you have to do, most urgent first',
    roles: ['manager', 'mechanic', 'driver'],
  },
  {
    id: 'next',
    label: 'Next run',
    href: inMeeting('next'),
    needsMeeting: true,
    about: 'When the team drives next',
  },
  {
    id: 'order',
    label: 'Order',
    href: inMeeting('order'),
    needsMeeting: true,
    about: 'Running order, loose ends, stamps',
  },
  {
    id: 'cards',
    label: 'Cards',
    href: inMeeting('card'),
    needsMeeting: true,
    about: 'What is assigned and fitted on each car',
  },
  {
    id: 'staging',
    label: 'Staging',
    href: inMeeting('staging'),
    needsMeeting: true,
    about: 'Check in ten seconds, accept or send back',
  },
  {
    id: 'debrief',
    label: 'Debrief',
    href: inMeeting('debrief'),
    needsMeeting: true,
    about: 'What came of each run: result, laps, temperatures, words',
  },
  {
    id: 'standings',
    label: 'Standings',
    href: inMeeting('standings'),
    needsMeeting: true,
    about: 'Who stands where in each class, and what is needed',
  },
  {
    id: 'plan',
    label: 'Plan',
    href: inMeeting('plan'),
    needsMeeting: true,
    about: 'Packs and chargers over the day',
    roles: ['manager', 'mechanic', 'driver'],
  },
  {
    id: 'duties',
    label: 'Duties',
    href: inMeeting('duties'),
    needsMeeting: true,
    about: 'Your list, marshals, jobs, hands, calendar',
    roles: ['manager', 'mechanic', 'driver'],
  },
  {
    id: 'kit',
    label: 'Kit',
    href: outside('/kit'),
    needsMeeting: false,
    about: 'Cars, motors, packs, tires, lists',
  },
  {
    id: 'crew',
    label: 'Crew',
    href: outside('/crew'),
    needsMeeting: false,
    about: 'People, roles, phones, invitations',
  },
  {
    id: 'setup',
    label: 'Meeting setup',
    href: inMeeting('setup'),
    needsMeeting: true,
    about: 'Classes, running order, entries',
    roles: ['manager'],
  },
  {
    id: 'history',
    label: 'History',
    href: inMeeting('history'),
    needsMeeting: true,
    about: 'Who changed what, and when',
  },
  {
    id: 'track',
    label: 'Track',
    href: inMeeting('track'),
    needsMeeting: true,
    about: 'Straights and corners for the lap model',
  },
  {
    id: 'wall',
    label: 'Pit wall',
    href: inMeeting('wall'),
    needsMeeting: true,
    about: 'For a big screen, read from five meters',
  },
  {
    id: 'tools',
    label: 'Tools',
    href: outside('/tools'),
    needsMeeting: false,
    about: 'Calculators',
  },
  {
    id: 'season',
    label: 'Season',
    href: outside('/season'),
    needsMeeting: false,
    about: 'Runs of all meetings',
  },
  {
    id: 'home',
    label: 'Meetings',
    href: outside('/'),
    needsMeeting: false,
    about: 'All meetings, and who you are here',
  },
  {
    id: 'help',
    label: 'Help',
    href: outside('/help'),
    needsMeeting: false,
    about: 'What the words mean, and cautions',
  },
]

/** Starts a new meeting. */
export const NEW_MEETING = '/board/new'

/** Along the top of a laptop; the rest is behind “More”. */
export const TOP_PLACES: readonly PlaceId[] = [
  'order',
  'jobs',
  'cards',
  'staging',
  'debrief',
  'plan',
  'duties',
  'kit',
  'setup',
]

/** Under the thumb: what each role reaches for first. The rest is behind “More”. */
export const THUMB_PLACES: Record<Role, readonly PlaceId[]> = {
  manager: ['order', 'jobs', 'cards', 'plan'],
  mechanic: ['jobs', 'cards', 'plan', 'order'],
  driver: ['staging', 'cards', 'order', 'jobs'],
  guest: ['next', 'order', 'cards', 'help'],
}

/** Where each role’s work is. A driver’s is the staging view of the next run, which only the board knows. */
export const FIRST_PLACE: Record<Role, PlaceId> = {
  manager: 'order',
  mechanic: 'jobs',
  driver: 'staging',
  guest: 'next',
}

/** Pages that open without a session. */
export const OPEN_PATHS: readonly string[] = ['/join', '/help', '/trust', '/tools']

/** Pages that show nothing of a board, and load none. */
export const BARE_PATHS: readonly string[] = ['/join']

export const placesFor = (role: Role): Place[] => PLACES.filter((p) => !p.roles || p.roles.includes(role))

/** The meeting that a path is in; null outside one. */
export function meetingIdOf(path: string): string | null {
  const id = /^\/board\/([A-Za-z0-9_-]{1,64})(?:\/|$)/.exec(path)?.[1]
  return id === undefined || id === 'new' ? null : id
}

/** Is the place, or a page below it, what the path shows? */
export function isAt(place: Place, path: string, meetingId: string): boolean {
  const href = place.href(meetingId)
  return href === '/' ? path === '/' : path === href || path.startsWith(`${href}/`)
}
