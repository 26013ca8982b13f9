import { CAR_PARAMETERS, QUANTITIES } from '@/lib/board'
import { MARK_WORDS, NEXT_WORDS, TIRE_LOOK_WORDS } from './debrief-words'

/** Springs are on both axles. */
function longLabel({ group, label }: (typeof CAR_PARAMETERS)[number]): string {
  return group === 'front' || group === 'rear' ? `${label}, ${group}` : label
}

/** What the board's choices are called on screen, by `field` or by value alone. */
const WORDS: Record<string, string> = {
  '2wd': 'Two-wheel drive',
  '4wd': 'Four-wheel drive',
  modified: 'Modified',
  stock: 'Stock',
  set: 'Set of four',
  front: 'Front pair',
  rear: 'Rear pair',
  bearings: 'Bearings',
  dampers: 'Dampers',
  differentials: 'Differentials',
  brushes: 'Brushes',
  rotor: 'Rotor',
  good: 'Good',
  'practice-only': 'Practice only',
  suspect: 'Suspect',
  calibration: 'Calibration',
  'before-staging': 'Before staging',
  'after-run': 'After the run',
  inspection: 'Inspection',
  clay: 'Clay',
  'dusty-dirt': 'Dusty dirt',
  carpet: 'Carpet',
  astroturf: 'Artificial turf',
  asphalt: 'Asphalt',
  other: 'Other',
  practice: 'Practice',
  qualifying: 'Qualifying',
  final: 'Final',
  'after-own-heat': 'Who ran marshals the next heat',
  table: 'By the marshal table',
  none: 'None',
  signature: 'A signature',
  'read-back': 'Reading back',
  fitted: 'The card is fitted and read back',
  powered: 'The pack is in, at a legal voltage',
  shod: 'The tires are on',
  manager: 'Manager',
  mechanic: 'Mechanic',
  driver: 'Driver',
  guest: 'Guest',
  place: 'Place',
  points: 'Points table',
  'laps-and-time': 'Laps and time',
  share: 'The better place each',
  average: 'The mean of their places',
  'behind-class': 'Behind everybody in the class',
  'behind-round': 'Behind everybody who started',
  'best-dropped': 'Best dropped round',
  'best-result': 'Best result',
  'second-best-result': 'Second-best result',
  'results-in-turn': 'Results that count, best first',
  'most-firsts': 'Most first places, then seconds',
  'last-round': 'Last round',
  'last-rounds-in-turn': 'Last round, then the one before',
  'fastest-run': 'Fastest run: laps and time',
  'fastest-lap': 'Fastest lap',
  up: 'Up',
  down: 'Down',
  ...Object.fromEntries(CAR_PARAMETERS.map((p) => [p.id, longLabel(p)])),
  ...NEXT_WORDS,
  ...TIRE_LOOK_WORDS,
  ...MARK_WORDS,
}

export function choiceWord(value: string, field?: string): string {
  if (field === 'quantity') {
    const q = QUANTITIES[value as keyof typeof QUANTITIES] as { name: string; unit: string } | undefined
    return q ? `${q.name}${q.unit ? `, ${q.unit}` : ''}` : value
  }
  return WORDS[value] ?? value
}
